//! What a job really needs on one machine: supersession, access, rounds, what comes with what, the lines, the gaps.
//!
//! Plain functions of values over [`crate::catalog::Lookup`]. This room does no input or output, prints nothing, and
//! does not know what a table file is; it only carries the `file:line` of the rows that it followed.

mod access;
mod action;
mod adds_up;
mod answer;
mod ask;
mod audit;
mod bench;
mod checked;
mod comes_with;
mod current;
mod disagreement;
mod gap;
mod gap_help;
mod gap_words;
mod joint;
mod lines;
mod outcome;
mod parts;
mod plan;
mod reason;
mod rest;
mod retrofit;
mod rounds;
mod same;
mod selection;
mod start;
mod supersession;
mod unread;
mod words;

pub use action::Action;
pub use answer::{
    AlreadyThere, ArrivesFitted, Cautioned, Choice, Cover, IfWorn, Kit, Limit, Line, LineSource,
    Located, MeasureFirst, PlannedOperation, PlannedPart, PlannedPosition, Role, When,
};
pub use ask::{Ask, Begun, Instead, Owed, Refusal, Unknown, Work, find_machine};
pub use audit::{Finding, audit};
pub use bench::{Bench, Place, Step};
pub use checked::{Disagreement, NoKit, checked};
pub use comes_with::MOST_CONTENTS;
pub use current::{Current, Sitting};
pub use gap::{Gap, GapKind, OpenGap};
pub use plan::work_out;
pub use reason::{Cause, Origin, Reason};
pub use rest::{LeftOut, each_alone, left_out, rest_of};
pub use retrofit::{Word, ask as ask_retrofits, is_placed};
pub use same::{Alike, alike, all_alike};
pub use supersession::{ChainDoubt, ChainNeed, Final, Link, Resolved, resolve};
