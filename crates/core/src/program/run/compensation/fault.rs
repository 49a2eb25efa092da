//! Why a move cannot be compensated.

/// What is wrong with a move under cutter radius compensation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::program) enum CompensationFault {
    /// The end of the first move lies under the tool as it stands.
    Gouging,
    /// The first move is an arc.
    ArcFirst,
    /// The path turns towards the tool's side.
    ConcaveCorner,
    /// The tool does not fit into the arc.
    ConcaveArc,
    /// The numbers give the tool no place: not finite, an arc without radius, or a centre that is not where the move
    /// before left it.
    Lost,
}

/// What is wrong and what would be usual, in whole sentences.
pub(in crate::program) fn why(fault: &CompensationFault) -> String {
    match fault {
        CompensationFault::Gouging => {
            "The first move after G41 or G42 ends under the tool as it stands, so it would gouge, and a control \
             refuses it. Come in from farther away than the tool's radius, beside the block."
        }
        CompensationFault::ArcFirst => {
            "The first move after G41 or G42 is an arc, and controls differ in how they come onto it. Come in with a \
             straight G1 that is longer than the tool's radius, then the arc."
        }
        CompensationFault::ConcaveCorner => {
            "The path turns toward the tool here, and a round tool cannot reach into the corner without \
             cutting past the next side; a control refuses it. Check whether G41 and G42 are mixed up; \
             otherwise round the corner with an arc larger than the tool's radius."
        }
        CompensationFault::ConcaveArc => {
            "The tool runs on the inside of this arc but its radius is not smaller than the arc's, so it \
             does not fit and a control refuses it. Take a smaller tool or a larger arc, and check whether \
             G41 and G42 are mixed up."
        }
        CompensationFault::Lost => {
            "The tool's center cannot be placed beside this move. Look at the numbers of this line and the \
             line before."
        }
    }
    .to_owned()
}
