//! How deep a pass goes along the outline, and what it leaves above its bottom.

use super::Wall;
use super::pass::Carried;
use super::told::Site;
use crate::geometry::{Interval, Ray, merge, without};
use crate::program::Kind;

/// Heights looked at between the bottom of a pass and where its cutter ends.
const HEIGHTS: u32 = 8;

impl Wall<'_> {
    /// By how much a pass stays above its `bottom` (block coordinates) at a station, where it goes by and therefore
    /// leaves metal that it would have taken at its bottom; 0 where it goes to depth, leaves nothing, or does not go by.
    /// It goes by with the motions that come within `slack` of the nearest of them.
    pub(crate) fn above_bottom(&self, site: &Site<'_>, pass: usize, (bottom, slack): (f64, f64)) -> f64 {
        let by = self.going_by(site, pass, slack);
        let tip = by.iter().map(|(carried, _)| tip_beside(carried, &site.ray)).fold(f64::INFINITY, f64::min);
        let above = tip - bottom;
        if !above.is_finite() || above <= self.tolerances.height {
            return 0.0;
        }
        if self.leaves_metal(site, pass, &by, (bottom, above)) { above } else { 0.0 }
    }

    /// The feed motions that go by a station, each with how near its cutter comes.
    fn going_by(&self, site: &Site<'_>, pass: usize, slack: f64) -> Vec<(&Carried, f64)> {
        let Some(of) = self.passes.get(pass) else { return Vec::new() };
        let profile = of.profile();
        let widest = profile.heights_at(profile.widest()).first().map_or(0.0, |(low, _)| *low);
        let mut swept = Vec::new();
        let mut found = Vec::new();
        for carried in of.near(&site.ray, site.reach, self.top) {
            let motion = &carried.motion;
            if motion.kind != Kind::Feed || motion.start.plan() == motion.end.plan() {
                continue;
            }
            swept.clear();
            let height = motion.start.z.max(motion.end.z) + widest;
            carried.sweep(profile, (height, self.tolerances.follow), &site.ray, &mut swept);
            let outside = swept.iter().filter(|(from, to)| *to > 0.0 && *from < site.reach.1);
            let near = outside.map(|(from, _)| *from).fold(f64::INFINITY, f64::min);
            // One whose middle comes inside the outline crosses it, as on a way over the top.
            if near.is_finite() && near > -profile.widest() {
                found.push((carried, near));
            }
        }
        let nearest = found.iter().map(|(_, near)| *near).fold(f64::INFINITY, f64::min);
        found.retain(|(_, near)| *near <= nearest + slack);
        found
    }

    /// Whether after a pass metal stands where its motions, lowered by `above` to the bottom, would have taken it.
    fn leaves_metal(
        &self,
        site: &Site<'_>,
        pass: usize,
        by: &[(&Carried, f64)],
        (bottom, above): (f64, f64),
    ) -> bool {
        let Some(of) = self.passes.get(pass) else { return false };
        let (low, high) = (bottom.max(self.bottom), (bottom + above).min(self.top));
        let upper = (bottom + above + of.profile().top().y).min(self.top).max(high);
        let heights = |(low, high): Interval| {
            (0..HEIGHTS).map(move |step| low + (high - low) * (f64::from(step) + 0.5) / f64::from(HEIGHTS))
        };
        let mut all = heights((low, high)).chain(heights((high, upper)));
        low < high && all.any(|height| self.stands_lowered(site, pass, by, (height, above)))
    }

    fn stands_lowered(
        &self,
        site: &Site<'_>,
        pass: usize,
        by: &[(&Carried, f64)],
        (height, above): (f64, f64),
    ) -> bool {
        let (follow, sliver) = (self.tolerances.follow, self.tolerances.sliver);
        let metal = self.standing(&site.ray, site.reach, height, pass + 1);
        let mut swept = Vec::new();
        let Some(of) = self.passes.get(pass) else { return false };
        for (carried, _) in by {
            carried.sweep(of.profile(), (height + above, follow), &site.ray, &mut swept);
        }
        merge(&mut swept, sliver);
        let left = without(&metal, &without(&metal, &swept, sliver), sliver);
        let (inner, outer) = site.reach;
        let length = |(from, to): &Interval| (to.min(outer) - from.max(inner)).max(0.0);
        left.iter().map(length).sum::<f64>() > self.tolerances.step
    }
}

/// Height of the tip where a motion comes nearest to a station.
fn tip_beside(carried: &Carried, ray: &Ray) -> f64 {
    carried.motion.at(carried.plan.nearest(ray.origin).0).z
}
