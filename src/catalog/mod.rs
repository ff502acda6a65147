//! The typed rows of the tables, their scope, and [`Lookup`], the narrow read interface that everything above uses.
//!
//! This room does no input or output: it does not know where the rows come from.

mod applies;
mod card;
mod cell;
mod lookup;
mod memory;
mod naming;
mod rows;
mod scope;
mod table;
mod traits;
mod unread;

pub use applies::{Applies, rows_for};
pub use card::{Card, FittedAt, Held, Offered};
pub use cell::{
    Cells, Change, Condition, Delivery, Field, Fitted, MarkKind, Need, Phase, PlaceQuantity, Seals,
    SerialCell, Status, Swap, Use, Value, Verdict, WhenDisturbed,
};
pub use lookup::{Found, Lookup, RowsBy, names_of_type, options_asked};
pub use memory::Memory;
pub use naming::{Form, Name, columns_of, names_in, parted_by_commas};
pub use rows::*;
pub use scope::{Scope, Scoped};
pub use table::{Asked, Col, Column, Owned, Role, Says, Table, Visit};
pub use unread::{UnreadCell, UnreadRow};
