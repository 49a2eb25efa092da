//! The panels round the plan. Each shows, and says what is asked for; none changes anything itself.

pub(super) mod bar;
pub(super) mod cards;
pub(super) mod figures;
pub(super) mod lists;
pub(super) mod live;
pub(super) mod passes;
pub(super) mod strip;
pub(super) mod tools;
pub(super) mod undercut;
mod walls;
pub(super) mod words;
