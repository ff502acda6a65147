//! Getting rows into a catalog, changing them, and passing them on: a line from a bag, a row step by step, a list from a
//! supplier, a joint with all that sits in it, another owner's tables, an empty catalog to begin with.
//!
//! Plain functions of values: text and rows come in; rows, remarks and questions go out, and are shown and written by
//! others. Where a text can be read in two ways the answer holds a question, never a guess that looks sure. This room
//! does no input or output and works out no kit.

mod addition;
mod bundle;
pub mod change;
mod demo;
mod finer_type;
mod free_text;
mod guide;
mod joint;
pub mod list;
mod materials;
pub mod merge;
mod names;
mod next_step;
mod pattern;
mod put_right;
mod question;
pub mod share;
mod size_words;
mod vocabulary;
mod whose_measure;

pub use addition::{Differs, Existing, Register, Standing, alike, unknown_names};
pub use bundle::{Bundle, cells, row};
pub use demo::demo_catalog;
pub use free_text::{LeftOut, PartReading, read_part, too_long};
pub use guide::{NewFile, empty_catalog, example};
pub use joint::{Held, JointAsk, ROLES, joint_rows};
pub use names::{Names, points_to};
pub use next_step::next_step;
pub use put_right::put_right;
pub use question::Question;
pub use vocabulary::Vocabulary;
pub use whose_measure::{WhoseMeasure, whose_measure};
