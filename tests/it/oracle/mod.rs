//! A second solver, written apart from the first, and random catalogs to ask both about.

pub mod naive;
pub mod tangle;
pub mod typed_out;
