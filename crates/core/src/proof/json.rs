//! The proof as JSON, schema `blockwright-proof/1`.

use serde_json::{Map, Value, json};

use super::measured::{Measure, measures};
use super::{PassProof, Proof};
use crate::finding::Finding;
use crate::geometry::Range;
use crate::job::Pass;
use crate::measure::{AlongOutline, Under};
use crate::units::{json_row, json_text};

/// The proof as JSON text. Lengths in the job's unit; keys that do not apply are absent.
pub fn json(proof: &Proof) -> String {
    json_text(value(proof))
}

/// The proof of one job of several as one line of JSON, schema `blockwright-check/1`: its file, exit status and proof.
pub fn json_line(proof: &Proof, file: &str, status: u8) -> String {
    json_row(json!({
        "schema": "blockwright-check/1", "file": file, "status": status, "result": value(proof),
    }))
}

/// One job of several that could not be checked, as one line of JSON, schema `blockwright-check/1`.
pub fn failed_line(file: &str, status: u8, why: &str) -> String {
    json_row(json!({ "schema": "blockwright-check/1", "file": file, "status": status, "error": why }))
}

fn value(proof: &Proof) -> Value {
    let mut root = Map::new();
    root.insert("schema".into(), json!("blockwright-proof/1"));
    put(&mut root, "job", proof.job.name.as_ref());
    root.insert("units".into(), json!(proof.job.units.name()));
    root.insert("verdict".into(), json!(proof.verdict));
    if let Some(outline) = &proof.outline {
        root.insert("outline".into(), json!({ "length": outline.length(), "stations": proof.stations }));
    }
    put(&mut root, "gauge", proof.gauge);
    if let Some(blank) = &proof.blank {
        root.insert(
            "blank".into(),
            json!({
                "least_margin": blank.least_margin,
                "least_margin_at": blank.least_margin_at,
                "short": blank.short,
            }),
        );
    }
    put(
        &mut root,
        "fit",
        proof.fit.as_ref().map(|found| {
            let fit = &found.fit;
            json!({ "dx": fit.dx, "dy": fit.dy, "turn": fit.turn, "least_margin": fit.least_margin })
        }),
    );
    put(&mut root, "material", proof.power_source().map(|(material, unit_power)| {
        json!({ "name": material.name, "unit_power": unit_power, "source": material.source })
    }));
    let passes = proof.job.passes.iter().zip(&proof.passes).enumerate();
    let found: Vec<Measure> = measures(proof).into_iter().filter(|measure| measure.found.is_some()).collect();
    let passes = passes.map(|(index, (pass, own))| {
        let found: Vec<Measure> = found.iter().filter(|measure| measure.pass == index).copied().collect();
        let mut row = of_pass(pass, own, proof.past_outline(index), &found);
        if let (Some(under), Some(row)) = (proof.under_block(index), row.as_object_mut()) {
            row.insert("under_block".into(), of_under(&under));
        }
        row
    });
    root.insert("passes".into(), passes.collect());
    root.insert("findings".into(), proof.findings.iter().map(|finding| of_finding(proof, finding)).collect());
    Value::Object(root)
}

fn put(map: &mut Map<String, Value>, key: &str, value: Option<impl serde::Serialize>) {
    if let Some(value) = value {
        map.insert(key.to_owned(), json!(value));
    }
}

fn of_pass(pass: &Pass, proof: &PassProof, past: Option<(f64, f64)>, measured: &[Measure]) -> Value {
    let mut map = Map::new();
    map.insert("name".into(), json!(pass.name));
    map.insert("tool".into(), json!(pass.tool));
    map.insert("program".into(), json!(pass.program));
    if let Some(purpose) = &proof.purpose {
        map.insert("does".into(), json!(purpose.does));
        put(&mut map, "does_suggested", purpose.why.as_ref().map(|_| true));
    }
    map.insert("lines".into(), json!(proof.program.lines));
    map.insert("motions".into(), json!(proof.program.motions.len()));
    put(&mut map, "lowest", proof.lowest);
    map.insert("feed_length".into(), json!(proof.track.feed_length()));
    map.insert("rapid_length".into(), json!(proof.track.rapid_length()));
    put(&mut map, "seconds", proof.seconds);
    put(&mut map, "removed_volume", proof.removal.as_ref().map(|removal| removal.volume()));
    if let Some(along) = &proof.along_outline {
        map.insert("cut".into(), cut(along));
        map.insert("leave".into(), range(&along.leave));
        map.insert("contact".into(), json!(along.contact));
    }
    put(&mut map, "past_outline", past.map(|(most, at)| json!({ "most": most, "at": at })));
    put(&mut map, "chip_load", proof.chip_load.map(|(least, most)| json!({ "least": least, "most": most })));
    put(&mut map, "removal_rate_most", proof.rate_most);
    put(&mut map, "power_most", proof.power_most);
    if let Some(wall) = &proof.wall {
        put(&mut map, "undercut_line", wall.undercut_line.as_ref().map(range));
        put(&mut map, "land", wall.land.as_ref().map(range));
    }
    put(
        &mut map,
        "measured",
        (!measured.is_empty()).then(|| measured.iter().map(of_measure).collect::<Vec<_>>()),
    );
    Value::Object(map)
}

/// What of a pass comes out below the block.
fn of_under(under: &Under) -> Value {
    let mut map = Map::new();
    map.insert("tip".into(), json!(under.tip));
    map.insert("below".into(), json!(under.below));
    put(&mut map, "above_bed", under.above_bed);
    put(&mut map, "reach", under.reach);
    Value::Object(map)
}

/// A value that was measured, beside what was expected.
fn of_measure(measure: &Measure) -> Value {
    let mut map = Map::new();
    map.insert("what".into(), json!(measure.what.word()));
    put(&mut map, "station", measure.station);
    put(&mut map, "pins", measure.pins);
    put(&mut map, "value", measure.found);
    put(&mut map, "expected", measure.expected.map(|(least, most)| json!({ "least": least, "most": most })));
    put(&mut map, "off_by", measure.off_by());
    Value::Object(map)
}

/// The thickest cut over all heights, with the heights of its least and its most.
fn cut(along: &AlongOutline) -> Value {
    let mut map = Map::new();
    let Range { least, most, least_at, most_at } = along.cut;
    for (key, value) in [("least", least), ("most", most), ("least_at", least_at), ("most_at", most_at)] {
        map.insert(key.into(), json!(value + 0.0));
    }
    put(&mut map, "least_z", along.cut_z[0]);
    put(&mut map, "most_z", along.cut_z[1]);
    Value::Object(map)
}

fn range(range: &Range) -> Value {
    json!({
        "least": range.least, "most": range.most,
        "least_at": range.least_at, "most_at": range.most_at,
    })
}

fn of_finding(proof: &Proof, finding: &Finding) -> Value {
    let mut map = Map::new();
    map.insert("code".into(), json!(finding.code));
    map.insert("severity".into(), json!(finding.severity));
    let name = finding.pass.and_then(|pass| proof.job.passes.get(pass)).map(|pass| &pass.name);
    put(&mut map, "pass", name);
    put(&mut map, "line", finding.line);
    put(&mut map, "column", finding.column);
    put(&mut map, "at", finding.at.map(|at| [at.x, at.y, at.z]));
    put(&mut map, "station", finding.station);
    map.insert("message".into(), json!(finding.message));
    let asks: Vec<String> = finding.asks.iter().map(|asks| asks.key()).collect();
    put(&mut map, "asks", (!asks.is_empty()).then_some(asks));
    Value::Object(map)
}
