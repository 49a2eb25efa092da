//! The wall at a station as a part of the window, and the mark of the station on the plan.

mod canvas;
mod few;
mod figures;
mod mark;

pub(super) use canvas::WallCanvas;
pub(super) use few::Few;
pub(super) use figures::figures;
pub(super) use mark::StationMark;
