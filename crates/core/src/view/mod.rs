//! Pictures of a proof: what to draw is listed once, then painted by the window or into pixels.

mod bench;
mod build_up;
mod clip;
mod corner_cut;
pub(crate) mod drawing;
mod enlarge;
mod keep_clear;
pub(crate) mod label;
mod magnifier;
mod picture;
mod plan;
mod plan_marks;
pub(crate) mod raster;
mod relief;
mod ribbon;
mod round;
pub(crate) mod rounding;
mod section_mark;
mod sheet;
mod silhouette;
mod stations;
mod stock;
mod strip;
mod svg;
mod text;
mod theme;
mod tool;
mod viewport;
mod wall;
mod zero_mark;

pub use bench::{bench, bench_pass};
pub use build_up::{BuildUpState, build_up, build_up_marks, build_up_plan, ghost};
pub use corner_cut::{CornerCut, corner_cuts};
pub use drawing::{Anchor, Dash, Drawing, Ink, Item, Weight, hatch_lines};
pub use magnifier::{magnifier, magnifier_name};
pub use picture::{PictureKind, picture};
pub use plan::{PlanState, extent, plan};
pub use raster::rasterise;
pub use relief::block_image;
pub use round::{Camera, Ghosts, RoundState, Scene, Tint, leave_range, round};
pub use rounding::ticks;
pub use section_mark::section_mark;
pub use sheet::{OfferState, SheetState, offer, sheet};
pub use stock::{StockState, stock};
pub use strip::{
    Along, LimitKind, Quantity, StripCurve, StripLimit, StripRange, StripScale, StripState, strip,
};
pub use svg::svg;
pub use text::{MONO, SANS, SANS_BOLD, text_width};
pub use theme::{Theme, contrast};
pub use tool::{tool, tool_size, tools_scale};
pub use viewport::Viewport;
pub use wall::{WallState, wall, wall_small, wall_viewport};
