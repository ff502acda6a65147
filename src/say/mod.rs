//! The sentences that every front end says alike: facts as a mechanic says them, without a page or a terminal around
//! them. Nothing is decided here.

mod count;
mod kit;
mod name;
mod order;
mod part;
mod state;
mod why;

pub use count::count;
pub use kit::{
    amount, described, is_simply_complete, limit_text, named, reason, remark, summary, verdict,
};
pub use name::named_thing;
pub use order::{
    line_notes, line_text, messages, missing_amount, money, no_parcel, verdict as order_verdict,
};
pub use part::fitted;
pub use state::{life_text, trend_text};
pub use why::{Told, Ways, told};
