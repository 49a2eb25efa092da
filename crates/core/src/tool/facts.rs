//! Whether what is known of a tool beyond its form fits together.

use super::{Form, Tool};

/// Something about a tool that cannot be so, or not as one would expect.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// The key of the job file that it speaks of.
    pub key: &'static str,
    /// Why it cannot be so, in plain words.
    pub why: String,
}

impl Tool {
    /// Everything about the tool that does not fit together; empty for a sound one. A form that cannot be made is
    /// refused by [`Form::check`] before that.
    pub fn doubts(&self) -> Vec<Doubt> {
        let mut found = Vec::new();
        let mut doubt = |key, is: bool, why: String| {
            if is {
                found.push(Doubt { key, why });
            }
        };
        let shaped = self.form.profile().top().y;
        if let Some(flutes) = self.flute_length {
            let what = self.form.shaped_part();
            // A silhouette may have its neck and shank drawn: what is no flute is shank.
            let less = flutes < shaped && !matches!(self.form, Form::Silhouette { .. });
            doubt("flute_length", less, format!("{flutes} is less than {what}, {shaped}"));
        }
        if let Some(stickout) = self.stickout {
            let flutes = self.flute_length.unwrap_or(0.0);
            let why = format!(
                "{flutes} is more than the stickout, {stickout}: the flutes would stand in the holder"
            );
            doubt("flute_length", flutes > stickout, why);
            let what = self.form.shaped_part();
            doubt("stickout", stickout < shaped, format!("{stickout} is less than {what}, {shaped}"));
        }
        if let (Some(shank), Some(holder)) = (self.shank_diameter, self.holder_diameter) {
            let why = format!("{holder} is not more than the shank diameter, {shank}");
            doubt("holder_diameter", holder <= shank, why);
        }
        found
    }
}

impl Form {
    /// Whether the form's own dimensions say how high it is, and not its nose alone.
    pub(super) const fn has_height(&self) -> bool {
        !matches!(self, Self::Flat { .. } | Self::Ball { .. } | Self::Bull { .. } | Self::Drill { .. })
    }

    /// What gives the form its height, for a message.
    const fn shaped_part(&self) -> &'static str {
        match self {
            Self::Flat { .. } => "the end",
            Self::Ball { .. } | Self::Bull { .. } => "the height of the rounded corner",
            Self::Undercut { .. } | Self::Chamfer { .. } => "the height of the cone",
            Self::EdgeRound { .. } => "pilot and rounding together",
            Self::Drill { .. } => "the height of the point",
            Self::Silhouette { .. } => "the height of the silhouette",
        }
    }
}
