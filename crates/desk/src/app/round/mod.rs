//! The block in the round as a part of the window: turned with the hand, drawn beside the window.

mod canvas;
mod draw;

pub(super) use canvas::RoundCanvas;

use blockwright_core::view::Camera;

use super::command::Command;

/// From where a command looks at the block; `None` for another command.
pub(super) fn camera_of(command: Command) -> Option<Camera> {
    let (turn, tilt) = match command {
        Command::FromAbove => (0.0, 90.0),
        Command::FromFront => (0.0, 0.0),
        Command::FromSide => (90.0, 0.0),
        Command::FromCorner => {
            let corner = Camera::default();
            (corner.turn, corner.tilt)
        }
        _ => return None,
    };
    Some(Camera { turn, tilt, ..Camera::default() })
}
