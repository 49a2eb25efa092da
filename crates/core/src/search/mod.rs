//! Least values of functions of one variable, and where they cross zero.

mod crossing;
mod golden;
mod valley;

pub(crate) use crossing::crossing;
pub(crate) use golden::{close_in, close_in_while};
pub(crate) use valley::{least, least_in_valley};
