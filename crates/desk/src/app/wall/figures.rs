//! The figures of the wall at a station, in words.

use blockwright_core::units::Told;
use blockwright_core::wall::Heights;

/// Name and value of each height there is on the wall after a pass, the station first.
pub(in crate::app) fn figures(station: f64, heights: &Heights, units: Told) -> Vec<(&'static str, String)> {
    let all = [
        ("top of undercut", heights.undercut_line),
        ("land", heights.land),
        ("rounding from", heights.rounding_lower),
        ("finished top", heights.top),
    ];
    let known = all.into_iter().filter_map(|(name, value)| Some((name, units.fine(value?))));
    std::iter::once(("station", units.plain(station))).chain(known).collect()
}
