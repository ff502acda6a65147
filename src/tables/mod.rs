//! The owner's CSV tables: the record from which everything else is worked out.
//!
//! This room reads them with located faults, rewrites them without touching what is not meant, and checks them.
//! It decides nothing about kits.

mod check;
mod disk;
mod encoding;
mod fault;
mod folder;
mod header;
mod journal;
mod lock;
mod place;
mod read;
mod rewrite;
mod seen;
mod sheet;
mod shipped;
mod split;
mod strays;
mod text_rows;
mod together;
mod trouble;
mod undo;

pub use check::{CODES, Code, Report, Severity, can_both_apply, check, explain};
#[cfg(test)]
pub(crate) use disk::fault as disk_fault;
pub(crate) use disk::{is_own_folder, is_plain_or_none, make_folder};
pub use disk::{read_own, save};
pub use encoding::decode;
pub(crate) use encoding::other_than_utf8;
pub use fault::Fault;
pub use folder::{Folder, TableFile, find};
pub use header::LONGEST_CELL;
pub use journal::{COLUMNS_FILE, CutShort, finish, ready_to_change};
pub use lock::{Lock, lock};
pub(crate) use place::since_1970;
pub use place::{Place, Stamp, State, state, steady};
pub(crate) use read::{OTHER_ENCODING, folder_of_a_tables_name, unknown_file};
pub use read::{Tables, read_folder, read_seen};
pub use rewrite::{Edit, Refused, rewrite};
pub use seen::Seen;
pub use sheet::ShortRow;
pub(crate) use sheet::{Piece, Sheet};
pub use shipped::rows as shipped_rows;
pub use strays::{Stray, strays};
pub use text_rows::{TextRow, TextSheet, definition, read_sheets, read_sheets_seen};
pub use together::{
    FileDifference, FileEdits, Waiting, change, change_with, do_the_same, preview, preview_back,
    settle, take_back, waiting,
};
pub use trouble::Trouble;
pub use undo::{CannotTakeBack, LineOfDifference, Made, Touched, difference, last_made, made};
