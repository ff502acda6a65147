//! The owner's CSV tables: the record from which everything else is worked out.
//!
//! This room reads them with located faults, rewrites them without touching what is not meant, and checks them.
//! It decides nothing about kits.

mod check;
mod encoding;
mod fault;
mod folder;
mod header;
mod read;
mod rewrite;
mod sheet;
mod shipped;
mod split;
mod strays;
mod text_rows;
mod together;
mod undo;

pub use check::{CODES, Code, Report, Severity, can_both_apply, check, explain};
pub use encoding::decode;
pub(crate) use encoding::other_than_utf8;
pub use fault::Fault;
pub use folder::{Folder, TableFile, find};
pub use header::LONGEST_CELL;
pub(crate) use read::{OTHER_ENCODING, unknown_file};
pub use read::{Tables, read_folder};
pub use rewrite::{Edit, Refused, rewrite, save};
pub use sheet::ShortRow;
pub(crate) use sheet::{Piece, Sheet};
pub use shipped::rows as shipped_rows;
pub use strays::{Stray, strays};
pub use text_rows::{TextRow, TextSheet, definition, read_sheets};
pub use together::{
    FileDifference, FileEdits, Lock, Trouble, change, change_with, finish, finish_locked, lock,
    preview, preview_back, take_back,
};
pub use undo::{CannotTakeBack, LineOfDifference, Made, Touched, difference, last_made, made};
