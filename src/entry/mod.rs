//! Getting rows into a catalog, changing them, and passing them on.
//!
//! Plain functions of values: what is to be written is worked out here, and shown and written by others. This room
//! does no input or output and works out no kit.

pub mod change;
pub mod merge;
pub mod share;
pub mod where_named;
