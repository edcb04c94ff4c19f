//! Forms as the catalogue's files write them, and what their words mean when a side is worked.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;

use matside::body::Side;
use toml::{Table, Value};

/// One form of a stretch, as its table stands in the file.
pub(super) struct Form {
    pub(super) table: Table,
    /// Whether a form before it in the same stretch is done by the same helper.
    pub(super) is_further: bool,
}

/// All forms by stretch and form.
pub(super) struct Forms(BTreeMap<(String, String), Form>);

/// The files of a folder of the sources that end so, as tables.
pub(super) fn tables(folder: &str) -> Vec<Table> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(folder);
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    paths.sort();
    let read = |path: &std::path::PathBuf| std::fs::read_to_string(path).expect("a text");
    paths.iter().map(|path| read(path).parse::<Table>().expect("a table")).collect()
}

pub(super) fn rows<'a>(table: &'a Table, key: &str) -> Vec<&'a Table> {
    let all = table.get(key).and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
    all.iter().filter_map(Value::as_table).collect()
}

pub(super) fn words<'a>(table: &'a Table, key: &str) -> Vec<&'a str> {
    let all = table.get(key).and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
    all.iter().filter_map(Value::as_str).collect()
}

pub(super) fn word<'a>(table: &'a Table, key: &str) -> &'a str {
    table.get(key).and_then(Value::as_str).unwrap_or_default()
}

impl Forms {
    pub(super) fn get() -> &'static Self {
        static ALL: LazyLock<Forms> = LazyLock::new(|| {
            let mut all = BTreeMap::new();
            for file in tables("catalogue") {
                for stretch in rows(&file, "stretch") {
                    let mut helpers = Vec::new();
                    for form in rows(stretch, "form") {
                        let helper = word(form, "helper");
                        let key = (word(stretch, "id").to_owned(), word(form, "id").to_owned());
                        let is_further = helpers.contains(&helper);
                        all.insert(key, Form { table: form.clone(), is_further });
                        helpers.push(helper);
                    }
                }
            }
            Forms(all)
        });
        &ALL
    }

    pub(super) fn of(&self, stretch: &str, form: &str) -> &Form {
        &self.0[&(stretch.to_owned(), form.to_owned())]
    }
}

/// A form as a step of a plan works it.
pub(super) struct Worked<'a> {
    pub(super) form: &'a Form,
    pub(super) side: Option<Side>,
    pub(super) method: &'static str,
}

/// Motions that are one another's opposite.
const OPPOSITES: [(&str, &str); 21] = [
    ("ankle_plantarflexion", "ankle_dorsiflexion"),
    ("foot_inversion", "foot_eversion"),
    ("toe_flexion", "toe_extension"),
    ("knee_flexion", "knee_extension"),
    ("hip_flexion", "hip_extension"),
    ("hip_abduction", "hip_adduction"),
    ("hip_external_rotation", "hip_internal_rotation"),
    ("hip_horizontal_abduction", "hip_horizontal_adduction"),
    ("trunk_flexion", "trunk_extension"),
    ("shoulder_flexion", "shoulder_extension"),
    ("shoulder_abduction", "shoulder_adduction"),
    ("shoulder_external_rotation", "shoulder_internal_rotation"),
    ("shoulder_horizontal_abduction", "shoulder_horizontal_adduction"),
    ("scapula_elevation", "scapula_depression"),
    ("scapula_upward_rotation", "scapula_downward_rotation"),
    ("scapula_protraction", "scapula_retraction"),
    ("elbow_flexion", "elbow_extension"),
    ("forearm_pronation", "forearm_supination"),
    ("wrist_flexion", "wrist_extension"),
    ("wrist_radial_deviation", "wrist_ulnar_deviation"),
    ("neck_flexion", "neck_extension"),
];

fn opposite(motion: &str) -> Option<&'static str> {
    OPPOSITES.iter().find_map(|&(one, other)| match motion {
        _ if motion == one => Some(other),
        _ if motion == other => Some(one),
        _ => None,
    })
}

fn is_midline(motion: &str) -> bool {
    motion.starts_with("trunk_") || motion.starts_with("neck_")
}

impl Worked<'_> {
    fn table(&self, key: &str) -> Table {
        self.form.table.get(key).and_then(Value::as_table).cloned().unwrap_or_default()
    }

    /// The sides that are worked.
    fn worked(&self) -> Vec<Side> {
        self.side.map_or_else(|| vec![Side::Left, Side::Right], |side| vec![side])
    }

    /// Motions with their degrees, each with the side of whose joint it is; in a bend or turn of the spine, the side
    /// that it is told relative to.
    fn motions(&self) -> Vec<(String, Side, i64)> {
        let mut all = Vec::new();
        for (key, is_other) in [("motions", false), ("other_side", true)] {
            for (motion, degrees) in self.table(key) {
                let degrees = degrees.as_integer().expect("degrees");
                for side in self.worked() {
                    let of = if is_other { side.other() } else { side };
                    all.push((motion.clone(), of, degrees));
                }
            }
        }
        all
    }

    /// Whether the joint of that side goes beyond the angle; bends and turns of the spine count by where they go.
    pub(super) fn goes_beyond(&self, motion: &str, over: i64, side: Side) -> bool {
        self.motions().into_iter().any(|(done, of, degrees)| {
            let along = match motion.strip_suffix("_same").or_else(|| motion.strip_suffix("_opposite")) {
                Some(stem) => {
                    let Some(how) = done.strip_prefix(stem) else { return false };
                    let goes = if how == "_same" { of } else { of.other() };
                    let wanted = if motion.ends_with("_same") { side } else { side.other() };
                    if goes == wanted { degrees } else { -degrees }
                }
                None if !is_midline(motion) && of != side => return false,
                None if done == motion => degrees,
                None if opposite(motion) == Some(done.as_str()) => -degrees,
                None => return false,
            };
            along > over
        })
    }

    /// Whether a target of that side is worked: one of these muscles.
    pub(super) fn targets(&self, muscles: &[&str], side: Side) -> bool {
        self.worked().contains(&side) && self.table("targets").keys().any(|it| muscles.contains(&it.as_str()))
    }

    /// Whether the joint is stretched: a muscle whose business is that joint is a target there, or the joint goes far
    /// beyond where it rests.
    pub(super) fn stretches(&self, joint: &str, side: Side) -> bool {
        let stem = if joint == "toes" { "toe" } else { joint };
        let far = self.motions().into_iter().any(|(motion, of, degrees)| {
            motion.strip_prefix(stem).is_some_and(|rest| rest.starts_with('_'))
                && (is_midline(&motion) || of == side)
                && degrees > 95
        });
        far || self.targets(movers(joint), side)
    }

    /// Whether the position loads what is asked for on that side, or the form says that something does.
    pub(super) fn loads(&self, what: &str, side: Side) -> bool {
        let loads = self.table("loads");
        let on = |keys: &[&str], part: &str| {
            let is_middle = matches!(part, "head" | "neck" | "belly" | "trunk");
            keys.iter().flat_map(|key| words(&loads, key)).any(|named| {
                let (name, is_other) =
                    named.strip_prefix("other_").map_or((named, false), |rest| (rest, true));
                let there = |worked: Side| if is_other { worked.other() == side } else { worked == side };
                name == part && (is_middle || self.worked().into_iter().any(there))
            })
        };
        let position = word(&self.form.table, "position");
        let stride = word(&loads, "stride");
        let one_leg = word(&loads, "one_leg");
        let (kind, part) = what.split_once(' ').unwrap_or((what, ""));
        match kind {
            "weight_on" => {
                let standing = position == "standing" && part == "foot" && !stride.is_empty();
                on(&["weight_on"], part) || standing
            }
            "traction" => on(&["traction"], part),
            "pressed" => on(&["pressed"], part) || (position == "prone" && matches!(part, "belly" | "chest")),
            "touched" => on(&["touches", "presses", "grips"], part),
            "held" => on(&["presses", "grips"], part),
            "gripped" => on(&["grips"], part),
            "head_low" => loads.get("head_low").and_then(Value::as_bool).unwrap_or_default(),
            "stride" => !stride.is_empty(),
            "stands" => position == "standing" && stride.is_empty() && one_leg.is_empty(),
            "one_leg" => {
                let stood_on = |worked: Side| if one_leg == "other" { worked.other() } else { worked };
                position == "standing"
                    && !one_leg.is_empty()
                    && self.worked().into_iter().any(|worked| stood_on(worked) == side)
            }
            // In side-lying the worked side is on top.
            "lain_on" => position == "side_lying" && self.worked().into_iter().any(|on| on.other() == side),
            other => panic!("a load of which nothing is known: {other}"),
        }
    }

    pub(super) fn is_on_floor(&self) -> bool {
        let equipment = words(&self.form.table, "equipment");
        let has = |what: &str| equipment.contains(&what);
        match word(&self.form.table, "position") {
            "standing" => false,
            "seated" => !has("chair") && !has("table"),
            _ => !has("table"),
        }
    }
}

/// Muscles whose business is that joint, by any anatomy handbook; fewer than all that cross it.
fn movers(joint: &str) -> &'static [&'static str] {
    match joint {
        "ankle" => &["gastrocnemius", "soleus", "tibialis-anterior"],
        "knee" => &["vasti", "rectus-femoris", "hamstrings"],
        "hip" => &["iliopsoas", "gluteus-maximus", "gluteus-medius", "piriformis", "adductors", "hamstrings"],
        "shoulder" => &["pectoralis-major", "latissimus-dorsi", "rotator-cuff", "anterior-deltoid"],
        "elbow" => &["biceps", "triceps"],
        "wrist" => &["wrist-flexors", "wrist-extensors"],
        "trunk" => &["erector-spinae", "quadratus-lumborum", "abdominals", "obliques"],
        "neck" => &["scalenes", "neck-extensors", "upper-trapezius", "levator-scapulae"],
        _ => &[],
    }
}

/// Parts of the body at which a hand is at that joint or muscle; fewer than all.
pub(super) fn parts_at(place: &str) -> &'static [&'static str] {
    match place {
        "ankle" => &["foot", "lower_leg"],
        "knee" => &["knee"],
        "hip" => &["thigh", "pelvis"],
        "shoulder" => &["shoulder", "upper_arm"],
        "elbow" | "wrist" => &["forearm"],
        "hamstrings" | "vasti" => &["thigh"],
        "gastrocnemius" => &["lower_leg"],
        "pectoralis-major" => &["chest"],
        "triceps" => &["upper_arm"],
        "erector-spinae" => &["back"],
        _ => &[],
    }
}
