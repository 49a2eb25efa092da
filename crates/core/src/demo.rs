//! The sample jobs, embedded.

/// The job that opens when nothing else is asked for, as named in [`files`].
pub const JOB: &str = "signal-lamp-bezel/job.json";

macro_rules! samples {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_bytes!(concat!("../../../samples/", $name)) as &[u8])),*]
    };
}

/// Every sample file: its path below the samples folder, with `/`, and its bytes.
pub fn files() -> &'static [(&'static str, &'static [u8])] {
    FILES
}

/// The bytes of one sample file.
pub fn file(name: &str) -> Option<&'static [u8]> {
    FILES.iter().find(|(other, _)| *other == name).map(|(_, bytes)| *bytes)
}

const FILES: &[(&str, &[u8])] = samples![
    "bracket-shoe/4001.nc",
    "bracket-shoe/4002.nc",
    "bracket-shoe/4003.nc",
    "bracket-shoe/4004.nc",
    "bracket-shoe/4005.nc",
    "bracket-shoe/job.json",
    "drip-tray-die/5001.nc",
    "drip-tray-die/5002.nc",
    "drip-tray-die/5003.nc",
    "drip-tray-die/5004.nc",
    "drip-tray-die/job.json",
    "hinge-leaf-die/6001.nc",
    "hinge-leaf-die/6002.nc",
    "hinge-leaf-die/blank-edge.csv",
    "hinge-leaf-die/hinge-leaf.dxf",
    "hinge-leaf-die/job.json",
    "hinge-pad-die/7001.nc",
    "hinge-pad-die/7002.nc",
    "hinge-pad-die/7003.nc",
    "hinge-pad-die/job.json",
    "latch-plate-die/8001.nc",
    "latch-plate-die/8002.nc",
    "latch-plate-die/job.json",
    "round-puck/3001.nc",
    "round-puck/3002.nc",
    "round-puck/3003.nc",
    "round-puck/job.json",
    "shelf-angle-die/9001.nc",
    "shelf-angle-die/9002.nc",
    "shelf-angle-die/job.json",
    "signal-lamp-bezel/1001.nc",
    "signal-lamp-bezel/1002.nc",
    "signal-lamp-bezel/1003.nc",
    "signal-lamp-bezel/1004.nc",
    "signal-lamp-bezel/1005.nc",
    "signal-lamp-bezel/1006.nc",
    "signal-lamp-bezel/1007.nc",
    "signal-lamp-bezel/job.json",
    "vent-cover-die/2001.nc",
    "vent-cover-die/2002.nc",
    "vent-cover-die/2003.nc",
    "vent-cover-die/job.json",
];
