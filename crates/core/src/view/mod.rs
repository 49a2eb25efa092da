//! Pictures of a proof: what to draw is listed once, then painted by the window or into pixels.

mod clip;
mod drawing;
mod picture;
mod plan;
mod plan_marks;
mod raster;
mod relief;
mod rounding;
mod strip;
mod strip_curve;
mod text;
mod theme;
mod viewport;

pub use drawing::{Anchor, Dash, Drawing, Ink, Item, Pixels, Weight, hatch_lines};
pub use picture::{PictureKind, picture};
pub use plan::{PlanState, extent, plan};
pub use raster::{png, rasterise};
pub use relief::block_image;
pub use strip::{Along, StripState, strip};
pub use strip_curve::StripScale;
pub use text::{MONO, SANS, SANS_BOLD, text_width};
pub use theme::{Theme, contrast};
pub use viewport::Viewport;
