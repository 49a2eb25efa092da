//! What the block is made of, as far as cutting it takes power.

/// A material with its specific cutting force. The list of [`materials`] is a start: a job or a crib has figures of its
/// own.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Name, as a job writes it.
    pub name: String,
    /// Specific cutting force in N/mm² (the same number as W s/mm³ times 1000) for a chip load of about 0.1 mm, 0.004
    /// in. A thinner chip takes more for each volume, a thicker one less.
    pub specific_force: f64,
    /// Where the number is from, and how far it can be trusted.
    pub source: String,
}

/// N/mm² for one hp for each in³/min: 745.69987 W / (16387.064 mm³ / 60 s); derived.
const PER_UNIT_HP: f64 = 2730.3;

// "aluminum": HP = MRR / K, K 3 to 5; published shop formulas.
// Rolled and hard: Machinery's Handbook, power constants, 0.33 hp for each in³/min; from memory.
const TABLE: [(&str, f64, &str); 8] = [
    ("aluminum", PER_UNIT_HP / 3.0, "the higher end of published shop formulas for aluminum"),
    ("aluminum 2024-T3", PER_UNIT_HP * 0.33, HARD),
    ("aluminum 2024-T351", PER_UNIT_HP * 0.33, HARD),
    ("aluminum 5052-H32", 580.0, MAGNESIUM),
    ("aluminum 6061-T6", PER_UNIT_HP * 0.33, HARD),
    ("aluminum 6061-T651", PER_UNIT_HP * 0.33, HARD),
    ("aluminum 7075-T6", 880.0, ZINC),
    ("aluminum 7075-T651", 880.0, ZINC),
];
const HARD: &str = "a handbook value for hard rolled aluminum, from memory";
// A published milling table: kc 580 and 880 MPa at 0.1 mm a tooth. Carvill, *Mechanical Engineer's Data Handbook* p. 192
// (published), gives k = 700 for aluminum, which lies between.
const MAGNESIUM: &str = "a published table of specific cutting force, Al-Mg at 0.1 mm a tooth";
const ZINC: &str = "a published table of specific cutting force, Al-Zn-Mg-Cu at 0.1 mm a tooth";

/// The materials known from the start.
pub fn materials() -> Vec<Material> {
    let material = |(name, specific_force, source): &(&str, f64, &str)| Material {
        name: (*name).to_owned(),
        specific_force: *specific_force,
        source: (*source).to_owned(),
    };
    TABLE.iter().map(material).collect()
}

/// The material of this name, whatever its case and on whichever side of the ocean aluminum is spelled: the longest name
/// in the list that the name begins with, at the end of a word, so that an alloy not listed counts as its metal. Of two
/// with one name, the last.
pub fn material_named<'a>(list: &'a [Material], name: &str) -> Option<&'a Material> {
    let spelled = |name: &str| name.trim().to_lowercase().replace("aluminium", "aluminum");
    let name = spelled(name);
    let begins = |known: &str| {
        !known.is_empty()
            && name.strip_prefix(known).is_some_and(|rest| !rest.starts_with(|c: char| c.is_alphanumeric()))
    };
    let all = list.iter().map(|material| (spelled(&material.name), material));
    all.filter(|(known, _)| begins(known)).max_by_key(|(known, _)| known.len()).map(|(_, material)| material)
}
