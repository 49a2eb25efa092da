//! What a pass is for, as the job says it.

use serde::{Serialize, Serializer};

/// What a pass is for. From it follows what of the block it may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Does {
    /// Goes round outside the outline and takes what stands beyond it.
    Profile,
    /// Takes the wall under the land, inside the outline, with a cutter that is wider at its tip.
    Undercut,
    /// Takes the block's top down.
    Face,
    /// Takes the edge between top and wall: rounds or chamfers it.
    Edge,
    /// Makes a pocket, a groove or a hole inside the outline.
    Inside,
}

impl Does {
    /// All of them, with the words of the job file.
    pub const ALL: [(&'static str, Self); 5] = [
        ("profile", Self::Profile),
        ("undercut", Self::Undercut),
        ("face", Self::Face),
        ("edge", Self::Edge),
        ("inside", Self::Inside),
    ];

    /// The word of the job file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Profile => "profile",
            Self::Undercut => "undercut",
            Self::Face => "face",
            Self::Edge => "edge",
            Self::Inside => "inside",
        }
    }
}

impl Serialize for Does {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}
