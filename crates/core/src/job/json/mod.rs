//! A thin JSON reader that knows where in the text every value stands.
//!
//! Values borrow from the text (`RawValue`), so the place of a value is the distance of its first byte from
//! the first byte of the text. The key path is only worked out for the one place an error speaks of.
mod error;
mod fields;
mod node;
mod raw;
mod spelling;
mod text;

pub(super) use error::Fault;
pub use error::JobError;
pub(super) use fields::Fields;
pub(super) use node::{LARGEST, Node};
pub(super) use text::decode;
