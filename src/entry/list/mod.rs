//! A list that somebody else wrote - a parts list, an invoice, a price list - on its way into one table.
//!
//! Bytes come in; rows come out, each with how it stands to the rows that are there and with what is doubtful about it.
//! What is passed over is named, so that nothing is lost in silence.

mod cells;
mod columns;
mod encoding;
mod line;
mod log_date;
mod remembered;
mod take;
mod values;

pub use cells::{Divided, divide};
pub use columns::{Column, Guess, guess};
pub use encoding::decode;
pub use line::ListLine;
pub use remembered::{FILE as COLUMNS_FILE, Remembered};
pub use take::{Intake, PassedOver, Source, Taken, take};
