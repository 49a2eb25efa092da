//! The block in the round as a part of the window: turned with the hand, drawn beside the window.

mod canvas;
mod draw;

pub(super) use canvas::RoundCanvas;
