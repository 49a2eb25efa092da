//! Least values of functions of one variable, and where they cross zero.

mod crossing;
mod golden;
mod valley;

pub(crate) use crossing::crossing;
pub(crate) use golden::close_in;
pub(crate) use valley::{least, least_in_valley};
