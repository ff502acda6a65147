//! At the bench and afterwards: the sheet to work from, what else lies open, options side by side, pictures.
//!
//! Plain functions of values over [`crate::catalog::Lookup`]. This room gives values, and pages and pictures as text;
//! it prints nothing and writes no file.

pub mod also;
pub mod checked;
pub mod difference;
pub mod drawing;
pub mod history;
pub mod options;
pub mod price;
pub mod sheet;
pub mod sheet_page;
pub mod tightening;
pub mod way_in;
