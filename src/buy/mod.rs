//! From a kit to parcels: what the shelf gives, what is ordered from whom, what came, what is still to come.
//!
//! Plain functions of values over [`crate::catalog::Lookup`]. This room prints nothing and writes no file: what is to
//! be written it gives as rows for the tables.

mod alike;
pub mod answer;
pub mod cheapest;
pub mod market;
pub mod needs;
pub mod order;
pub mod orders;
pub mod place;
pub mod plan;
pub mod problem;
pub mod receive;
pub mod shelf;
mod tighten;
pub mod waiting;
