//! Results kept with what they were made from, so that an edit works out anew only what it touches.

use std::sync::Arc;

use super::finished::EnteredKey;
use crate::block::{Field, Lumps, Removal, Touch};
use crate::bring_in::{Brought, OffsetError};
use crate::finished::Entered;
use crate::fit::{Fitting, Reach};
use crate::geometry::Path;
use crate::job::Vertex;
use crate::measure::{AlongLoad, AlongPath, Stations, Swath, Sweep, Under};
use crate::program::{Program, Settings, TextLines};
use crate::tool::{Form, Tool};
use crate::track::Track;
use crate::units::Units;
use crate::wall::{Along, Proud, Straight, WallPass};

/// Shared data compared by identity: the same piece, not an equal one.
#[derive(Debug)]
pub(super) struct Same<T>(pub(super) Arc<T>);

impl<T> Clone for Same<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> PartialEq for Same<T> {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// A result kept with what it was made from.
#[derive(Debug)]
pub(super) struct Kept<K, V> {
    pub(super) key: K,
    pub(super) value: Arc<V>,
}

/// Looks a result up by its key, or makes it and keeps it.
pub(super) fn kept<K: PartialEq, V, E>(
    old: &[Kept<K, V>],
    new: &mut Vec<Kept<K, V>>,
    key: K,
    make: impl FnOnce() -> Result<V, E>,
) -> Result<(Arc<V>, bool), E> {
    let found = new.iter().chain(old).find(|kept| kept.key == key).map(|kept| Arc::clone(&kept.value));
    let (value, fresh) = match found {
        Some(value) => (value, false),
        None => (Arc::new(make()?), true),
    };
    new.push(Kept { key, value: Arc::clone(&value) });
    Ok((value, fresh))
}

/// A file as the job names it.
#[derive(Debug, PartialEq)]
pub(super) struct DrawingKey {
    pub(super) file: String,
    pub(super) layer: Option<String>,
    /// The unit stated for it, and the job's.
    pub(super) units: [Option<Units>; 2],
    pub(super) bytes: Arc<[u8]>,
}

/// What a path was made from, and where it was laid.
#[derive(Debug, PartialEq)]
pub(super) enum MadeFrom {
    Vertices(Vec<Vertex>, [f64; 3]),
    File(Same<Brought>, [f64; 3]),
    /// A pass, the radius it was moved in by, and the unit.
    Pass(Same<Track>, f64, Units),
}

type ProgramKey = (Arc<[u8]>, Settings);
/// The pass's zero, the rapid speed, and what home is above.
type TrackKey = (Same<Program>, crate::program::Zero, Option<f64>, Option<f64>);
/// Edge, top, bottom and cell.
type BlankKey = (Same<Path>, f64, f64, f64);
type RemovalKey = (Same<Field>, Vec<(Same<Track>, Form)>);
type TouchKey = (Same<Removal>, Tool);
/// Track, tool, outline, Z of the lower face and of the bed.
type UnderKey = (Same<Track>, Tool, Option<Same<Path>>, (f64, Option<f64>));
type SwathKey = (Same<Track>, Form, f64);
type CarriedKey = (Same<Track>, Form);
/// Outline, edge, passes, and the blank's lower and upper face.
type OutlineKey = (Same<Path>, Same<Path>, Vec<(Same<Swath>, bool)>, (f64, f64));
/// Outline, and how far from it the tool's centre rolls.
type ReachKey = (Same<Path>, f64);
pub(super) type Reaches = Result<Vec<Reach>, OffsetError>;
/// Outline and edge.
type FitKey = (Same<Path>, Same<Path>);
/// What a measure along the path depends on.
#[derive(Debug, PartialEq)]
pub(super) struct PathKey {
    pub(super) edge: Same<Path>,
    /// The passes up to the one measured.
    pub(super) sweeps: Vec<Same<Sweep>>,
    pub(super) height: f64,
    /// Z of the blank's lower and upper face.
    pub(super) faces: (f64, f64),
    /// The outline, and what the pass is to leave there.
    pub(super) held: Option<(Same<Path>, f64)>,
}

/// Edge, bottom, top, and the passes up to the one measured.
type LoadKey = (Same<Path>, f64, f64, Vec<Same<Sweep>>);
/// Outline, edge, bottom, top and the passes.
pub(super) type WallKey = (Same<Path>, Same<Path>, f64, f64, Vec<Same<WallPass>>);

/// The wall, the heights between which metal is looked for, the gauge height, and the most that may stand.
type ProudKey = (WallKey, [f64; 4]);

#[derive(Debug, Default)]
pub(super) struct Memory {
    pub(super) straights: Vec<Kept<WallKey, Option<Straight>>>,
    pub(super) texts: Vec<Kept<Arc<[u8]>, TextLines>>,
    pub(super) programs: Vec<Kept<ProgramKey, Program>>,
    pub(super) tracks: Vec<Kept<TrackKey, Track>>,
    pub(super) drawings: Vec<Kept<DrawingKey, Brought>>,
    pub(super) paths: Vec<Kept<MadeFrom, Path>>,
    pub(super) blanks: Vec<Kept<BlankKey, Field>>,
    pub(super) removals: Vec<Kept<RemovalKey, Removal>>,
    pub(super) touches: Vec<Kept<TouchKey, Vec<Touch>>>,
    pub(super) lumps: Vec<Kept<Same<Removal>, Lumps>>,
    pub(super) unders: Vec<Kept<UnderKey, Option<Under>>>,
    pub(super) swaths: Vec<Kept<SwathKey, Swath>>,
    pub(super) sweeps: Vec<Kept<CarriedKey, Sweep>>,
    pub(super) outlines: Vec<Kept<OutlineKey, Stations>>,
    pub(super) fits: Vec<Kept<FitKey, Fitting>>,
    pub(super) reaches: Vec<Kept<ReachKey, Reaches>>,
    pub(super) along: Vec<Kept<PathKey, AlongPath>>,
    pub(super) loads: Vec<Kept<LoadKey, AlongLoad>>,
    pub(super) entered: Vec<Kept<EnteredKey, Vec<Entered>>>,
    pub(super) wall_passes: Vec<Kept<CarriedKey, WallPass>>,
    pub(super) walls: Vec<Kept<WallKey, Along>>,
    pub(super) prouds: Vec<Kept<ProudKey, Option<Proud>>>,
}
