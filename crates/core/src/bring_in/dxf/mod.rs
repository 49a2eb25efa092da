//! Drawings in DXF, text and binary, from release 12 to the latest, by the published DXF reference.
//!
//! A reader of its own, since all that is needed is groups and a dozen entities.

mod blocks;
mod entity;
mod groups;

use blocks::{Item, Library};
use groups::{Group, Groups};

use super::drawing::Sheet;
use super::{Drawing, Fault, curve_tolerance};
use crate::bring_in::plan::Affine;
use crate::units::Units;

/// Whether the bytes look like DXF.
pub(super) fn is_binary(bytes: &[u8]) -> bool {
    bytes.starts_with(groups::BINARY)
}

/// Reads a drawing.
pub(super) fn read(bytes: &[u8]) -> Result<Drawing, Fault> {
    let mut reader = Reader::new(bytes);
    reader.file()?;
    let (units, scale) = units_of(reader.insert_units);
    // Where the unit is not known, finer than either unit asks for.
    let tolerance = units.map_or(curve_tolerance(Units::Inch), curve_tolerance);
    let mut placing = blocks::Placing::new(&reader.library, &mut reader.sheet, tolerance);
    placing.items(&reader.items, &Affine::scale(scale, scale), None, 0)?;
    Ok(reader.sheet.finish(units))
}

/// The unit by the header variable `$INSUNITS`, and what its lengths are multiplied by to be in it. Values from the
/// published DXF reference.
fn units_of(insert_units: i64) -> (Option<Units>, f64) {
    match insert_units {
        1 => (Some(Units::Inch), 1.0),
        2 => (Some(Units::Inch), 12.0),
        8 => (Some(Units::Inch), 1e-6),
        9 => (Some(Units::Inch), 1e-3),
        10 => (Some(Units::Inch), 36.0),
        4 => (Some(Units::Mm), 1.0),
        5 => (Some(Units::Mm), 10.0),
        6 => (Some(Units::Mm), 1000.0),
        13 => (Some(Units::Mm), 1e-3),
        14 => (Some(Units::Mm), 100.0),
        _ => (None, 1.0),
    }
}

/// An entity: its name and the groups that follow.
struct Entity<'a> {
    name: Group<'a>,
    groups: Vec<Group<'a>>,
}

struct Reader<'a> {
    groups: Groups<'a>,
    ahead: Option<Group<'a>>,
    sheet: Sheet,
    library: Library,
    items: Vec<Item>,
    insert_units: i64,
}

impl<'a> Reader<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        Self {
            groups: Groups::new(bytes),
            ahead: None,
            sheet: Sheet::default(),
            library: Library::default(),
            items: Vec::new(),
            insert_units: 0,
        }
    }

    fn next(&mut self) -> Result<Group<'a>, Fault> {
        if let Some(group) = self.ahead.take() {
            return Ok(group);
        }
        let spot = self.groups.spot();
        self.groups.next()?.ok_or_else(|| {
            Fault::at(spot, "the file ends before its EOF: it was cut off, so something may be missing")
        })
    }

    fn file(&mut self) -> Result<(), Fault> {
        loop {
            let group = self.next()?;
            if group.is(0, "EOF") {
                return Ok(());
            }
            if group.is(0, "SECTION") {
                let name = self.next()?;
                match &*name.text() {
                    "HEADER" => self.header()?,
                    "TABLES" => self.tables()?,
                    "BLOCKS" => self.blocks()?,
                    "ENTITIES" => self.entities()?,
                    _ => self.skip_section()?,
                }
            } else if group.code != 999 {
                return Err(Fault::at(
                    group.spot,
                    "a section must start here: this is not DXF, or it is damaged",
                ));
            }
        }
    }

    fn skip_section(&mut self) -> Result<(), Fault> {
        while !self.next()?.is(0, "ENDSEC") {}
        Ok(())
    }

    fn header(&mut self) -> Result<(), Fault> {
        loop {
            let group = self.next()?;
            if group.is(0, "ENDSEC") {
                return Ok(());
            }
            if group.is(9, "$INSUNITS") {
                let value = self.next()?;
                self.insert_units = value.whole().map_err(|fault| fault.of("$INSUNITS"))?;
            }
        }
    }

    /// Layers that are declared count as mentioned, drawn on or not.
    fn tables(&mut self) -> Result<(), Fault> {
        loop {
            let entity = self.entity()?;
            match &*entity.name.text() {
                "ENDSEC" => return Ok(()),
                "LAYER" => {
                    if let Some(name) = entity.groups.iter().find(|group| group.code == 2) {
                        self.sheet.layer(&name.text());
                    }
                }
                _ => {}
            }
        }
    }

    fn blocks(&mut self) -> Result<(), Fault> {
        loop {
            let entity = self.entity()?;
            match &*entity.name.text() {
                "ENDSEC" => return Ok(()),
                "BLOCK" => {
                    let items = self.items_until("ENDBLK")?;
                    self.library.define(&entity, items)?;
                }
                _ => {}
            }
        }
    }

    fn entities(&mut self) -> Result<(), Fault> {
        let items = self.items_until("ENDSEC")?;
        self.items.extend(items);
        Ok(())
    }

    fn items_until(&mut self, end: &str) -> Result<Vec<Item>, Fault> {
        let mut items = Vec::new();
        loop {
            let mut entity = self.entity()?;
            let name = entity.name.text().into_owned();
            if name == end {
                return Ok(items);
            }
            if name == "ENDSEC" || name == "EOF" {
                return Err(Fault::at(
                    entity.name.spot,
                    format!("{name} comes before the {end} that must be there"),
                ));
            }
            let mut vertices = Vec::new();
            if name == "POLYLINE" {
                vertices = self.vertices()?;
            }
            let item =
                entity::item(&mut entity, &vertices, &mut self.sheet).map_err(|fault| fault.of(&name))?;
            items.extend(item);
        }
    }

    /// The vertices of a polyline, up to what closes their row.
    fn vertices(&mut self) -> Result<Vec<Entity<'a>>, Fault> {
        let mut vertices = Vec::new();
        loop {
            let entity = self.entity()?;
            match &*entity.name.text() {
                "VERTEX" => vertices.push(entity),
                "SEQEND" => return Ok(vertices),
                _ => {
                    let message = "a polyline must close with SEQEND: the file is damaged here";
                    return Err(Fault::at(entity.name.spot, message));
                }
            }
        }
    }

    fn entity(&mut self) -> Result<Entity<'a>, Fault> {
        let mut name = self.next()?;
        while name.code != 0 {
            name = self.next()?;
        }
        let mut groups = Vec::new();
        if !matches!(&*name.text(), "EOF" | "ENDSEC") {
            loop {
                let group = self.next()?;
                if group.code == 0 {
                    self.ahead = Some(group);
                    break;
                }
                groups.push(group);
            }
        }
        Ok(Entity { name, groups })
    }
}
