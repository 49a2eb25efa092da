//! What stands in the way of a window, told before one is asked for: the libraries below it panic or name folders of the
//! machine that Blockwright was built on.

use crate::trouble::Trouble;

/// The variable that says how large everything on an X display is drawn.
const SCALE: &str = "WINIT_X11_SCALE_FACTOR";

/// The least and the largest scale that still make a window; screens ask for 1 to 4.
const SCALES: std::ops::RangeInclusive<f64> = 0.25..=16.0;

/// A scale that makes no window.
pub(super) fn scale_trouble(value: &str) -> Option<Trouble> {
    let usable = value.is_empty()
        || value.eq_ignore_ascii_case("randr")
        || value.parse::<f64>().is_ok_and(|scale| SCALES.contains(&scale));
    (!usable).then(|| {
        Trouble::at(
            SCALE,
            format!("\"{}\" is no scale for the window", short(value)),
            "give a number from 0.25 to 16, such as 1.5, or leave it unset",
        )
    })
}

/// The scale that is set, if it makes no window.
pub(super) fn bad_scale() -> Option<Trouble> {
    scale_trouble(&std::env::var_os(SCALE)?.to_string_lossy())
}

/// No window could be had.
pub(super) fn no_window(reason: &str) -> Trouble {
    let named = |name: &str| {
        let value = std::env::var_os(name)?;
        (!value.is_empty()).then(|| format!("{name}={}", short(&value.to_string_lossy())))
    };
    let display =
        named("WAYLAND_DISPLAY").or_else(|| named("DISPLAY")).unwrap_or_else(|| "The window".to_owned());
    Trouble::at(
        display,
        format!("no window could be opened ({})", without_places(reason)),
        "check that the display is there and may be used; `blockwright check JOB` needs none",
    )
}

/// What a library says, without the places in its code.
fn without_places(reason: &str) -> String {
    let words = reason.split_whitespace().filter(|word| !word.contains(".rs:"));
    words.collect::<Vec<_>>().join(" ").replace("os error at ", "")
}

fn short(value: &str) -> String {
    const LONGEST: usize = 40;
    if value.chars().count() <= LONGEST {
        value.to_owned()
    } else {
        value.chars().take(LONGEST).chain(['…']).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_that_makes_no_window_is_named() {
        for value in ["abc", "0", "-1", "nan", "inf", "1e9", "1,5", "0.001"] {
            let told = scale_trouble(value).map(|trouble| trouble.to_string()).unwrap_or_default();
            assert!(told.contains(&format!("\"{value}\"")) && told.contains("1.5"), "{value}: {told}");
        }
        for value in ["", "randr", "1", "1.5", "2"] {
            assert_eq!(scale_trouble(value), None, "{value}");
        }
        let long = scale_trouble(&"9".repeat(300)).map(|trouble| trouble.to_string()).unwrap_or_default();
        assert!(long.len() < 200, "{long}");
    }

    #[test]
    fn no_place_in_somebody_s_code_is_named() {
        let said = "winit EventLoopError: os error at /root/.cargo/registry/src/index-1/winit-0.30/src/linux/mod.rs:788: \
                    Failed to open connection to X server";
        let told = no_window(said).to_string();
        assert!(told.contains("Failed to open connection to X server") && !told.contains(".rs"), "{told}");
        assert!(!told.contains("/root") && !told.contains("os error at"), "{told}");
    }
}
