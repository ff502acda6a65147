//! At the bench and afterwards: the sheet to work from, what else lies open, options side by side, pictures; what is
//! written down of a job as done, what is known of a machine, what a symptom leaves to look at.
//!
//! Plain functions of values over [`crate::catalog::Lookup`]. This room gives values, pages and pictures as text, and
//! rows for the tables; it prints nothing and writes no file.

pub mod also;
pub mod difference;
pub mod drawing;
pub mod effort;
pub mod fitted;
pub mod history;
pub mod options;
pub mod price;
pub mod reading;
pub mod record;
pub mod sheet;
pub mod sheet_page;
pub mod state;
pub mod symptom;
pub mod tightening;
pub mod trend;
pub mod unknowns;
pub mod way_in;
