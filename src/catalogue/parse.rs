//! Reads stretches out of TOML and finds everything that is wrong with them at once.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::body::{Motion, Muscle, Seconds};
use crate::document::values::{bounded, flag, line, number, word};
use crate::document::{Flaw, Parsed, Source, Table, Unknown, Walker};

use super::anatomy::{Reach, judge};
use super::dose::ContractRelax;
use super::drawing;
use super::form::{Cues, Equipment, Form, FormId, Helper, MotionAngle, Position, Stretch, StretchId, Target};
use super::loads;
use super::trainer_posture::{self, TrainerPosture};

/// The most characters of a name.
pub const LONGEST_NAME: usize = 48;
/// The most characters of a cue, so that it fits one line of the screen.
pub const LONGEST_CUE: usize = 110;
/// Seconds of one static hold: the guidance's 10 to 30, for older adults up to 60 (Garber et al. 2011).
pub const HOLD_RANGE: std::ops::RangeInclusive<i64> = 10..=60;
/// Seconds of one push: the guidance's 3 to 6 (Garber et al. 2011).
pub const PUSH_RANGE: std::ops::RangeInclusive<i64> = 3..=6;
/// Seconds of the stretch after a push: up to the guidance's 30 (Garber et al. 2011), down to the trade's 7.
pub const FURTHER_RANGE: std::ops::RangeInclusive<i64> = 7..=30;
/// The planner's grid: every length of time in a plan is a multiple of it, in seconds.
pub const GRID_S: i64 = 5;

/// The share of a main target: it must be lengthened by all that the sources ask for.
pub const FULL_SHARE: u8 = 100;

const MOTIONS: &str = "motions = { hip_flexion = 80, knee_extension = 0 }";
const OTHER_SIDE: &str = "other_side = { hip_flexion = 80, knee_extension = 0 }";
const TARGETS: &str = "targets = { hamstrings = 100 }";
const HOLDS: &str = "holds_s = [15, 20, 30]";
const CYCLES: &str = "contract_relax = [ { cycles = 3, push_s = 3, stretch_s = 7 } ]";

/// What the trainer does while the client works alone, where the file has nothing more particular.
const SELF_HANDS: &str = "Hands off: show it first, then correct with words.";
const SELF_FEET: &str = "Stand where you see the working side and the face.";
const SELF_SPINE: &str = "Stand tall or sit down: your own back has a rest.";

/// Reads the stretches of one file. Returns those without flaws, and all flaws with their places.
pub(super) fn parse(source: &Source) -> (Vec<Stretch>, Vec<Flaw>) {
    let parsed = match Parsed::of(source) {
        Ok(parsed) => parsed,
        Err(flaws) => return (Vec::new(), flaws),
    };
    let (mut walk, mut top) = (Walker::new(source), parsed.top("file"));
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut seen: BTreeSet<StretchId> = BTreeSet::new();
    for mut table in walk.tables(&mut top, "stretch", "stretch") {
        let before = walk.count();
        let stretch = read_stretch(&mut walk, &mut table, &mut seen);
        if walk.count() == before {
            stretches.extend(stretch);
        }
    }
    walk.finish(&top, Unknown::Flaw);
    (stretches, walk.into_flaws())
}

fn read_stretch(
    walk: &mut Walker<'_>,
    table: &mut Table<'_, '_>,
    seen: &mut BTreeSet<StretchId>,
) -> Option<Stretch> {
    let id: Option<StretchId> = walk.want(table, "id = \"straight-leg-raise\"", word);
    if let (Some(id), Some(value)) = (&id, table.get("id"))
        && !seen.insert(id.clone())
    {
        walk.flaw(value.span(), format!("a stretch `{id}` stands above already"), "give this one another id");
    }
    let name = walk.want(table, "name = \"Straight-leg raise\"", line(LONGEST_NAME));
    let mut forms: Vec<Form> = Vec::new();
    let before = walk.count();
    for mut body in walk.tables(table, "form", "form") {
        let Some(form) = read_form(walk, &mut body) else { continue };
        if forms.iter().any(|other| other.id == form.id) {
            let message = format!("a form `{}` stands above already", form.id);
            walk.flaw(body.place(), message, "give this one another id");
        }
        forms.push(form);
    }
    if forms.is_empty() && walk.count() == before {
        walk.flaw(table.place(), "the stretch has no form", "add `[[stretch.form]]`");
    }
    walk.finish(table, Unknown::Flaw);
    Some(Stretch { id: id?, name: name?, forms })
}

fn read_form(walk: &mut Walker<'_>, table: &mut Table<'_, '_>) -> Option<Form> {
    let id: Option<FormId> = walk.want(table, "id = \"hand-on-heel\"", word);
    let name = if table.has("name") {
        walk.may(table, "name", line(LONGEST_NAME))
    } else {
        id.as_ref().map(|id| spoken(id.as_str()))
    };
    let position = walk.want(table, "position = \"supine\"", word);
    let sides = walk.want(table, "sides = \"each\"", word);
    let helper = walk.want(table, "helper = \"assisted\"", word);
    let anatomy = walk.count();
    let motions = read_motions(walk, table, MOTIONS);
    let targets = read_targets(walk, table);
    if walk.count() == anatomy
        && let Some(value) = table.get("targets")
    {
        check_anatomy(walk, &motions, &targets, value.span());
    }
    let other_side = if table.has("other_side") { read_motions(walk, table, OTHER_SIDE) } else { Vec::new() };
    let loads = loads::read(walk, table);
    let drawing = drawing::read(walk, table);
    let setup = walk.want(table, "setup_s = 5", number(5..=60, GRID_S));
    let equipment = read_equipment(walk, table);
    let doses = walk.count();
    let holds = read_holds(walk, table);
    let contract_relax = read_cycles(walk, table);
    if holds.is_empty() && contract_relax.is_empty() && walk.count() == doses {
        walk.flaw(table.place(), "the form has no dose", format!("add `{HOLDS}`"));
    }
    if contract_relax.is_empty() && walk.count() == doses {
        refuse_push(walk, table);
    }
    // Files from before say it; the words of `trainer` took its place.
    table.get("strain");
    let trainer = read_trainer(walk, table, helper, is_on_floor(position, &equipment));
    let gentle = walk.may(table, "gentle = true", flag).unwrap_or(false);
    let usual = walk.may(table, "usual = \"often\"", word);
    let cues = read_cues(walk, table, helper);
    walk.finish(table, Unknown::Flaw);
    Some(Form {
        id: id?,
        name: name?,
        position: position?,
        sides: sides?,
        helper: helper?,
        motions,
        other_side,
        loads,
        drawing,
        targets,
        setup: Seconds::new(setup?),
        equipment,
        holds,
        contract_relax,
        trainer,
        gentle,
        usual,
        cues: cues?,
    })
}

/// Words for a push that never comes are a slip.
fn refuse_push(walk: &mut Walker<'_>, table: &mut Table<'_, '_>) {
    if let Some(value) = table.get("push") {
        let remedy = "add `contract_relax`, or take `push` out";
        walk.flaw(value.span(), "there is nothing to push without contract-relax", remedy);
    }
}

/// `hand-on-heel` as `Hand on heel`.
fn spoken(id: &str) -> String {
    let mut text = id.replace('-', " ");
    if let Some(first) = text.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    text
}

fn read_motions(walk: &mut Walker<'_>, table: &mut Table<'_, '_>, key: &'static str) -> Vec<MotionAngle> {
    let before = walk.count();
    walk.required(table, key);
    let Some(rows) = walk.table(table, key, "list of motions") else { return Vec::new() };
    let mut motions: Vec<MotionAngle> = Vec::new();
    for (motion, degrees) in walk.by_word::<Motion, _>(&rows, bounded) {
        if motions.iter().any(|other| other.motion == motion.opposite()) {
            let message = format!("`{motion}` and `{}` cannot both be", motion.opposite());
            walk.flaw(rows.place(), message, "keep the one that the joint really does");
        }
        motions.push(MotionAngle { motion, degrees });
    }
    if motions.is_empty() && walk.count() == before && key == MOTIONS {
        walk.flaw(rows.place(), "the form moves no joint", format!("write `{MOTIONS}`"));
    }
    motions
}

fn read_targets(walk: &mut Walker<'_>, table: &mut Table<'_, '_>) -> Vec<Target> {
    let before = walk.count();
    walk.required(table, TARGETS);
    let Some(rows) = walk.table(table, TARGETS, "list of targets") else { return Vec::new() };
    let shares = walk.by_word::<Muscle, u8>(&rows, number(1..=100, 1));
    let mut targets: Vec<Target> =
        shares.into_iter().map(|(muscle, share)| Target { muscle, share }).collect();
    if targets.is_empty() && walk.count() == before {
        walk.flaw(rows.place(), "the form has no target", format!("write `{TARGETS}`"));
    }
    targets.sort_by_key(|target| std::cmp::Reverse(target.share));
    targets
}

/// Reports every target that the motions do not lengthen as far as its share says.
fn check_anatomy(walk: &mut Walker<'_>, motions: &[MotionAngle], targets: &[Target], place: Range<usize>) {
    let names =
        |list: &[Motion]| list.iter().map(|motion| format!("`{motion}`")).collect::<Vec<_>>().join(", ");
    for target in targets {
        let found = judge(target.muscle, motions);
        let (message, remedy) = match found.reach {
            Reach::Full => continue,
            Reach::Partial if target.share < FULL_SHARE => continue,
            Reach::Partial if found.missing.is_empty() => (
                format!("the motions lengthen `{}` in part only", target.muscle),
                format!("give it less than {FULL_SHARE}"),
            ),
            Reach::Partial => (
                format!("the motions lengthen `{}` in part only", target.muscle),
                format!("add {}, or give it less than {FULL_SHARE}", names(&found.missing)),
            ),
            Reach::None if found.against.is_empty() => (
                format!("the motions do not lengthen `{}`", target.muscle),
                format!("add {}, or take it out of the targets", names(&found.missing)),
            ),
            Reach::None => (
                format!("{} would shorten `{}`", names(&found.against), target.muscle),
                "mend the motions, or take it out of the targets".to_owned(),
            ),
        };
        walk.flaw(place.clone(), message, remedy);
    }
}

/// What is not known to be off the floor is taken to be on it.
fn is_on_floor(position: Option<Position>, equipment: &[Equipment]) -> bool {
    position.is_none_or(|position| position.is_on_floor(equipment))
}

fn read_trainer(
    walk: &mut Walker<'_>,
    table: &mut Table<'_, '_>,
    helper: Option<Helper>,
    on_floor: bool,
) -> Option<TrainerPosture> {
    if let (Some(Helper::Client), Some(value)) = (helper, table.get("trainer")) {
        let message = "a form that the client does alone asks nothing of the trainer";
        walk.flaw(value.span(), message, "take `trainer` out, or use `helper = \"assisted\"`");
    }
    trainer_posture::read(walk, table, on_floor)
}

fn read_equipment(walk: &mut Walker<'_>, table: &mut Table<'_, '_>) -> Vec<Equipment> {
    let mut equipment = Vec::new();
    for item in walk.items(table, "equipment = [\"strap\"]") {
        let Some(piece) = walk.take("equipment = [\"strap\"]", item, word::<Equipment>) else { continue };
        if equipment.contains(&piece) {
            walk.flaw(item.span(), format!("`{piece}` is listed twice"), "name it once");
        }
        equipment.push(piece);
    }
    equipment
}

fn read_holds(walk: &mut Walker<'_>, table: &mut Table<'_, '_>) -> Vec<Seconds> {
    let mut holds: Vec<Seconds> = Vec::new();
    for item in walk.items(table, HOLDS) {
        let Some(hold) = walk.take(HOLDS, item, number(HOLD_RANGE, GRID_S)).map(Seconds::new) else {
            continue;
        };
        if holds.last().is_some_and(|last| *last >= hold) {
            walk.flaw(item.span(), "the holds do not rise", "list them shortest first, each once");
        }
        holds.push(hold);
    }
    holds
}

fn read_cycles(walk: &mut Walker<'_>, table: &mut Table<'_, '_>) -> Vec<ContractRelax> {
    let mut doses = Vec::new();
    for item in walk.items(table, CYCLES) {
        let Some(mut dose) = walk.as_table(CYCLES, item, "contract-relax dose") else { continue };
        let cycles: Option<u8> = walk.want(&mut dose, "cycles = 3", number(1..=5, 1));
        let push: Option<u32> = walk.want(&mut dose, "push_s = 3", number(PUSH_RANGE, 1));
        let further: Option<u32> = walk.want(&mut dose, "stretch_s = 7", number(FURTHER_RANGE, 1));
        walk.finish(&dose, Unknown::Flaw);
        let (Some(cycles), Some(push), Some(further)) = (cycles, push, further) else { continue };
        let whole = u32::from(cycles) * (push + further);
        if i64::from(whole) % GRID_S == 0 {
            doses.push(ContractRelax { cycles, push: Seconds::new(push), stretch: Seconds::new(further) });
        } else {
            let message =
                format!("{cycles} x ({push} + {further}) s is {whole} s, not a multiple of {GRID_S}");
            walk.flaw(item.span(), message, "change `stretch_s` until it is, such as 3 + 7 or 5 + 10");
        }
    }
    doses
}

fn read_cues(walk: &mut Walker<'_>, table: &mut Table<'_, '_>, helper: Option<Helper>) -> Option<Cues> {
    let assisted = helper == Some(Helper::Assisted);
    let mut cue = |key: &'static str, otherwise: &str| {
        if assisted || otherwise.is_empty() || table.has(key) {
            walk.want(table, key, line(LONGEST_CUE))
        } else {
            table.get(key);
            Some(otherwise.to_owned())
        }
    };
    let say = cue("say", "");
    let hands = cue("hands", SELF_HANDS);
    let feet = cue("feet", SELF_FEET);
    let spine = cue("spine", SELF_SPINE);
    let watch = cue("watch", "");
    let mistakes = cue("mistakes", "");
    let push = walk.may(table, "push", line(LONGEST_CUE));
    let say = say?;
    // Files from before there was a field for it say it at the end of `say`.
    let (say, push) = match (say.split_once(" To push: "), push) {
        (Some((say, push)), None) => (say.to_owned(), push.to_owned()),
        (_, push) => (say, push.unwrap_or_default()),
    };
    Some(Cues { say, push, hands: hands?, feet: feet?, spine: spine?, watch: watch?, mistakes: mistakes? })
}
