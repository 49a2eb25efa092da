//! The plan with the stock round the outline.

use super::say::Say;
use super::{Figure, Part, Section, WIDTH};
use crate::record::Record;
use crate::view::{StockState, Theme, stock};

/// Height of the plan on paper.
const HIGH: f32 = 365.0;

pub(super) fn section(record: &Record<'_>) -> Section {
    let say = Say::of(record);
    let state = StockState { proof: record.proof, walls: &record.wall_stations() };
    let Some((drawing, times)) = stock(&state, [WIDTH, HIGH], &Theme::print()) else {
        let words = "The job has no outline, so there is no stock to show around it.";
        return Section::new("Plan", vec![Part::Words(words.to_owned())]);
    };
    let height = record.proof.gauge.map_or_else(String::new, |gauge| format!(" {}", gauge.words(say.units)));
    let thick = if times == 1.0 {
        "drawn as thick as it is".to_owned()
    } else {
        format!("drawn {times} times as thick as it is")
    };
    let clamps = if record.proof.job.keep_clear.is_empty() { "" } else { ", and clamp areas are hatched" };
    let true_edge = if times == 1.0 {
        ""
    } else {
        "; only the band is thicker than it is, so the sawn edge does not lie where the band ends: see it under \"Setting up\""
    };
    let caption = format!(
        "The outline at scale. The band around it is the stock outside the line,{height}, {thick}. Short \
         strokes and numbers inside are stations, counted from 0 the way of the arrow; numbers in circles are \
         findings, letters are the walls shown below. The circle with two arrows is X0 Y0 of the programs{clamps}. \
         All places are to scale{true_edge}."
    );
    Section::new("Plan", vec![Part::Figures(vec![Figure { drawing, scale: 1.0, caption }])])
}
