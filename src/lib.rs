//! Works out the complete parts kit for a repair on an older machine from the owner's own tables.
//!
//! The rooms, in the one direction in which they may know of each other: [`measure`], [`near`] and
//! [`wording`] know nothing;
//! [`catalog`] holds the typed rows; [`tables`] reads and writes them as CSV; [`index`] compiles them so that
//! they are found at once; [`kit`] works out what a job needs;
//! [`buy`] turns it into orders; [`fit`] says whether a part goes to a position; [`work`] is at the bench and afterwards;
//! [`say`] has the sentences that all front ends say alike;
//! [`desk`] opens a catalog for a front end, and writes to it; [`guide`] holds the pages for the user; [`cli`] is the command line.

pub mod buy;
pub mod catalog;
pub mod cli;
pub mod desk;
pub mod entry;
pub mod fit;
pub mod guide;
pub mod index;
pub mod kit;
pub mod measure;
pub mod near;
pub mod say;
pub mod tables;
pub mod wording;
pub mod work;
