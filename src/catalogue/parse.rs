//! Reads stretches out of TOML and finds everything that is wrong with them at once.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::body::{Degrees, Motion, Muscle, Seconds};

use super::anatomy::{Reach, judge};
use super::drawing;
use super::fields::{Fields, Placed, comma_list, items, line, number, parsed_word, table, word, yes_no};
use super::flaw::{Flaw, Flaws};
use super::form::{
    ContractRelax, Cues, Equipment, Form, FormId, Helper, MotionAngle, Position, Sides, Stretch, StretchId,
    Target, Usual,
};

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

const MOTIONS_EXAMPLE: &str = "motions = { hip_flexion = 80, knee_extension = 0 }";
const TARGETS_EXAMPLE: &str = "targets = { hamstrings = 100 }";
const HOLDS_EXAMPLE: &str = "holds_s = [15, 20, 30]";
const CYCLES_EXAMPLE: &str = "contract_relax = [ { cycles = 3, push_s = 3, stretch_s = 7 } ]";

/// What the trainer does while the client works alone, where the file has nothing more particular.
const SELF_HANDS: &str = "Hands off: show it first, then correct with words.";
const SELF_FEET: &str = "Stand where you see the working side and the face.";
const SELF_SPINE: &str = "Stand tall or sit down: your own back has a rest.";

/// Reads the stretches of one file. Returns those without flaws, and all flaws with their places.
pub(super) fn parse(name: &str, source: &str) -> (Vec<Stretch>, Vec<Flaw>) {
    let mut flaws = Flaws::new(name, source);
    let (root, errors) = DeTable::parse_recoverable(source);
    for error in &errors {
        let span = error.span().unwrap_or(0..0);
        flaws.add(&span, error.message(), "mend the TOML here; see the built-in stretches for the shape");
    }
    if !errors.is_empty() {
        // After a broken line the rest of the shape is guesswork: flaws found in it would mislead.
        return (Vec::new(), flaws.into_sorted());
    }
    let mut fields = Fields::new("the file", 0..0, root.get_ref());
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut seen: BTreeSet<StretchId> = BTreeSet::new();
    if let Some(list) =
        fields.optional("stretch").and_then(|v| items(v, "stretch", "[[stretch]]", &mut flaws))
    {
        for item in list {
            let Some(body) = table(item, "stretch", "[[stretch]]", &mut flaws) else { continue };
            let before = flaws.count();
            let (id, stretch) = read_stretch(item.span(), body, &mut flaws);
            if let Some(id) = id
                && !seen.insert(id.value.clone())
            {
                let message = format!("a stretch `{}` stands above already", id.value);
                flaws.add(&id.span, message, "give this one another id");
            }
            if flaws.count() == before {
                stretches.extend(stretch);
            }
        }
    }
    fields.finish(&mut flaws);
    (stretches, flaws.into_sorted())
}

fn read_stretch(
    place: Range<usize>,
    body: &DeTable<'_>,
    flaws: &mut Flaws<'_>,
) -> (Option<Placed<StretchId>>, Option<Stretch>) {
    let mut fields = Fields::new("the stretch", place, body);
    let example = "id = \"straight-leg-raise\"";
    let id = fields.required("id", example, flaws).and_then(|value| {
        let parsed = word::<StretchId>(value, "id", example, flaws)?;
        Some(Placed { value: parsed, span: value.span() })
    });
    let name = fields
        .required("name", "name = \"Straight-leg raise\"", flaws)
        .and_then(|value| line(value, "name", LONGEST_NAME, flaws));
    let mut forms: Vec<Form> = Vec::new();
    let list = fields
        .required("form", "[[stretch.form]]", flaws)
        .and_then(|value| items(value, "form", "[[stretch.form]]", flaws));
    if let Some(list) = list {
        if list.is_empty() {
            flaws.add(fields.place(), "the stretch has no form", "add `[[stretch.form]]`");
        }
        for item in list {
            let Some(body) = table(item, "form", "[[stretch.form]]", flaws) else { continue };
            if let Some(form) = read_form(item.span(), body, flaws) {
                if forms.iter().any(|other| other.id == form.id) {
                    let message = format!("a form `{}` stands above already", form.id);
                    flaws.add(&item.span(), message, "give this one another id");
                }
                forms.push(form);
            }
        }
    }
    fields.finish(flaws);
    let stretch = id.as_ref().zip(name).map(|(id, name)| Stretch { id: id.value.clone(), name, forms });
    (id, stretch)
}

fn read_form(place: Range<usize>, body: &DeTable<'_>, flaws: &mut Flaws<'_>) -> Option<Form> {
    let mut fields = Fields::new("the form", place, body);
    let example = "id = \"hand-on-heel\"";
    let id =
        fields.required("id", example, flaws).and_then(|value| word::<FormId>(value, "id", example, flaws));
    let name = match fields.optional("name") {
        Some(value) => line(value, "name", LONGEST_NAME, flaws),
        None => id.as_ref().map(|id| spoken(id.as_str())),
    };
    let position = required_word::<Position>(&mut fields, "position", "position = \"supine\"", flaws);
    let sides = required_word::<Sides>(&mut fields, "sides", "sides = \"each\"", flaws);
    let helper = required_word::<Helper>(&mut fields, "helper", "helper = \"assisted\"", flaws);
    let motions = match fields.required("motions", MOTIONS_EXAMPLE, flaws) {
        Some(value) => read_motions(value, "motions", flaws),
        None => None,
    };
    let other_side = match fields.optional("other_side") {
        Some(value) => read_motions(value, "other_side", flaws),
        None => Some(Vec::new()),
    };
    let targets_value = fields.required("targets", TARGETS_EXAMPLE, flaws);
    let targets = targets_value.and_then(|value| read_targets(value, flaws));
    if let (Some(motions), Some(targets), Some(value)) = (&motions, &targets, targets_value) {
        check_anatomy(motions, targets, &value.span(), flaws);
    }
    let setup = fields
        .required("setup_s", "setup_s = 5", flaws)
        .and_then(|value| number(value, "setup_s", 5..=60, GRID_S, flaws));
    let equipment = match fields.optional("equipment") {
        Some(value) => read_equipment(value, flaws),
        None => Some(Vec::new()),
    };
    let holds = match fields.optional("holds_s") {
        Some(value) => read_holds(value, flaws),
        None => Some(Vec::new()),
    };
    let contract_relax = match fields.optional("contract_relax") {
        Some(value) => read_cycles(value, flaws),
        None => Some(Vec::new()),
    };
    let strain = fields
        .required("strain", "strain = 1", flaws)
        .and_then(|value| Some((number(value, "strain", 0..=3, 1, flaws)?, value.span())));
    let gentle = match fields.optional("gentle") {
        Some(value) => yes_no(value, "gentle", flaws),
        None => Some(false),
    };
    let usual = match fields.optional("usual") {
        Some(value) => word::<Usual>(value, "usual", "usual = \"often\"", flaws).map(Some),
        None => Some(None),
    };
    let cues = read_cues(&mut fields, helper, flaws);
    let drawing = drawing::read(&mut fields, flaws);
    if holds.as_ref().is_some_and(Vec::is_empty) && contract_relax.as_ref().is_some_and(Vec::is_empty) {
        flaws.add(fields.place(), "the form has no dose", format!("add `{HOLDS_EXAMPLE}`"));
    }
    let still = contract_relax.as_ref().is_some_and(Vec::is_empty);
    if let Some(value) = fields.optional("push").filter(|_| still) {
        let remedy = "add `contract_relax`, or take `push` out";
        flaws.add(&value.span(), "there is nothing to push without contract-relax", remedy);
    }
    if let (Some(helper), Some((strain, span))) = (helper, &strain) {
        match helper {
            Helper::Client if *strain != 0 => {
                flaws.add(span, "a self form puts no strain on the trainer", "use `strain = 0`");
            }
            Helper::Assisted if *strain == 0 => {
                let remedy = "use 1 (light), 2 (moderate) or 3 (heavy)";
                flaws.add(span, "an assisted form always puts some strain on the trainer", remedy);
            }
            _ => {}
        }
    }
    fields.finish(flaws);
    Some(Form {
        id: id?,
        name: name?,
        position: position?,
        sides: sides?,
        helper: helper?,
        motions: motions?,
        other_side: other_side?,
        targets: targets?,
        setup: seconds(setup?),
        equipment: equipment?,
        holds: holds?,
        contract_relax: contract_relax?,
        strain: u8::try_from(strain?.0).unwrap_or_default(),
        gentle: gentle?,
        usual: usual?,
        cues: cues?,
        drawing: drawing?,
    })
}

fn required_word<T>(
    fields: &mut Fields<'_, '_>,
    key: &'static str,
    example: &str,
    flaws: &mut Flaws<'_>,
) -> Option<T>
where
    T: std::str::FromStr,
    T::Err: super::fields::Explained,
{
    fields.required(key, example, flaws).and_then(|value| word(value, key, example, flaws))
}

/// `hand-on-heel` as `Hand on heel`.
fn spoken(id: &str) -> String {
    let mut text = id.replace('-', " ");
    if let Some(first) = text.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    text
}

fn seconds(number: i64) -> Seconds {
    // The bounds were checked where it was read.
    Seconds::new(u32::try_from(number).unwrap_or_default())
}

/// The entries of a table in the order of the file; the parser hands them over sorted by key.
fn in_file_order<'t, 'i>(body: &'t DeTable<'i>) -> Vec<(Placed<&'t str>, &'t Spanned<DeValue<'i>>)> {
    let mut entries: Vec<_> = body
        .iter()
        .map(|(key, value)| (Placed { value: &**key.get_ref(), span: key.span() }, value))
        .collect();
    entries.sort_by_key(|(key, _)| key.span.start);
    entries
}

fn read_motions(value: &Spanned<DeValue<'_>>, key: &str, flaws: &mut Flaws<'_>) -> Option<Vec<MotionAngle>> {
    let body = table(value, key, MOTIONS_EXAMPLE, flaws)?;
    let before = flaws.count();
    let mut motions: Vec<MotionAngle> = Vec::new();
    for (name, value) in in_file_order(body) {
        let motion = parsed_word::<Motion>(name.value, &name.span, MOTIONS_EXAMPLE, flaws);
        let bounds = i64::from(Degrees::MIN)..=i64::from(Degrees::MAX);
        let degrees = number(value, name.value, bounds, 1, flaws);
        let (Some(motion), Some(degrees)) = (motion, degrees) else { continue };
        if motions.iter().any(|other| other.motion == motion.opposite()) {
            let message = format!("`{motion}` and `{}` cannot both be", motion.opposite());
            flaws.add(&name.span, message, "keep the one that the joint really does");
        }
        if let Ok(degrees) = Degrees::new(degrees) {
            motions.push(MotionAngle { motion, degrees });
        }
    }
    if motions.is_empty() && flaws.count() == before && key == "motions" {
        flaws.add(&value.span(), "the form moves no joint", format!("write `{MOTIONS_EXAMPLE}`"));
    }
    (flaws.count() == before).then_some(motions)
}

fn read_targets(value: &Spanned<DeValue<'_>>, flaws: &mut Flaws<'_>) -> Option<Vec<Target>> {
    let body = table(value, "targets", TARGETS_EXAMPLE, flaws)?;
    let before = flaws.count();
    let mut targets = Vec::new();
    for (name, value) in in_file_order(body) {
        let muscle = parsed_word::<Muscle>(name.value, &name.span, TARGETS_EXAMPLE, flaws);
        let share = number(value, name.value, 1..=100, 1, flaws);
        if let (Some(muscle), Some(share)) = (muscle, share.and_then(|share| u8::try_from(share).ok())) {
            targets.push(Target { muscle, share });
        }
    }
    if targets.is_empty() && flaws.count() == before {
        flaws.add(&value.span(), "the form has no target", format!("write `{TARGETS_EXAMPLE}`"));
    }
    targets.sort_by_key(|target| std::cmp::Reverse(target.share));
    (flaws.count() == before).then_some(targets)
}

/// Reports every target that the motions do not lengthen as far as its share says.
fn check_anatomy(motions: &[MotionAngle], targets: &[Target], span: &Range<usize>, flaws: &mut Flaws<'_>) {
    for target in targets {
        let found = judge(target.muscle, motions);
        let names = |list: &[Motion]| comma_list(list.iter().map(|motion| motion.id()));
        match found.reach {
            Reach::Full => {}
            Reach::Partial if target.share < FULL_SHARE => {}
            Reach::Partial => {
                let message = format!("the motions lengthen `{}` in part only", target.muscle);
                let remedy = if found.missing.is_empty() {
                    format!("give it less than {FULL_SHARE}")
                } else {
                    format!("add {}, or give it less than {FULL_SHARE}", names(&found.missing))
                };
                flaws.add(span, message, remedy);
            }
            Reach::None if found.against.is_empty() => {
                let message = format!("the motions do not lengthen `{}`", target.muscle);
                let remedy = format!("add {}, or take it out of the targets", names(&found.missing));
                flaws.add(span, message, remedy);
            }
            Reach::None => {
                let message = format!("{} would shorten `{}`", names(&found.against), target.muscle);
                flaws.add(span, message, "mend the motions, or take it out of the targets");
            }
        }
    }
}

fn read_equipment(value: &Spanned<DeValue<'_>>, flaws: &mut Flaws<'_>) -> Option<Vec<Equipment>> {
    let example = "equipment = [\"strap\"]";
    let list = items(value, "equipment", example, flaws)?;
    let before = flaws.count();
    let mut equipment = Vec::new();
    for item in list {
        let Some(piece) = word::<Equipment>(item, "equipment", example, flaws) else { continue };
        if equipment.contains(&piece) {
            flaws.add(&item.span(), format!("`{piece}` is listed twice"), "name it once");
        }
        equipment.push(piece);
    }
    (flaws.count() == before).then_some(equipment)
}

fn read_holds(value: &Spanned<DeValue<'_>>, flaws: &mut Flaws<'_>) -> Option<Vec<Seconds>> {
    let list = items(value, "holds_s", HOLDS_EXAMPLE, flaws)?;
    let before = flaws.count();
    let mut holds: Vec<Seconds> = Vec::new();
    for item in list {
        let Some(hold) = number(item, "holds_s", HOLD_RANGE, GRID_S, flaws).map(seconds) else { continue };
        if holds.last().is_some_and(|last| *last >= hold) {
            flaws.add(&item.span(), "the holds do not rise", "list them shortest first, each once");
        }
        holds.push(hold);
    }
    (flaws.count() == before).then_some(holds)
}

fn read_cycles(value: &Spanned<DeValue<'_>>, flaws: &mut Flaws<'_>) -> Option<Vec<ContractRelax>> {
    let list = items(value, "contract_relax", CYCLES_EXAMPLE, flaws)?;
    let before = flaws.count();
    let mut doses = Vec::new();
    for item in list {
        let Some(body) = table(item, "contract_relax", CYCLES_EXAMPLE, flaws) else { continue };
        let mut fields = Fields::new("the contract-relax dose", item.span(), body);
        let mut take = |key: &'static str, example: &str, bounds| {
            fields.required(key, example, flaws).and_then(|value| number(value, key, bounds, 1, flaws))
        };
        let cycles = take("cycles", "cycles = 3", 1..=5);
        let push = take("push_s", "push_s = 3", PUSH_RANGE);
        let further = take("stretch_s", "stretch_s = 7", FURTHER_RANGE);
        fields.finish(flaws);
        let (Some(cycles), Some(push), Some(further)) = (cycles, push, further) else { continue };
        let whole = cycles * (push + further);
        if whole % GRID_S != 0 {
            let message =
                format!("{cycles} x ({push} + {further}) s is {whole} s, not a multiple of {GRID_S}");
            flaws.add(&item.span(), message, "change `stretch_s` until it is, such as 3 + 7 or 5 + 10");
            continue;
        }
        let cycles = u8::try_from(cycles).unwrap_or(1);
        doses.push(ContractRelax { cycles, push: seconds(push), stretch: seconds(further) });
    }
    (flaws.count() == before).then_some(doses)
}

fn read_cues(fields: &mut Fields<'_, '_>, helper: Option<Helper>, flaws: &mut Flaws<'_>) -> Option<Cues> {
    let assisted = helper == Some(Helper::Assisted);
    let mut cue = |key: &'static str, otherwise: &str| {
        let value = if assisted || otherwise.is_empty() {
            fields.required(key, &format!("{key} = \"...\""), flaws)
        } else {
            fields.optional(key)
        };
        match value {
            Some(value) => line(value, key, LONGEST_CUE, flaws),
            None if !assisted && !otherwise.is_empty() => Some(otherwise.to_owned()),
            None => None,
        }
    };
    let say = cue("say", "")?;
    let hands = cue("hands", SELF_HANDS);
    let feet = cue("feet", SELF_FEET);
    let spine = cue("spine", SELF_SPINE);
    let watch = cue("watch", "");
    let mistakes = cue("mistakes", "");
    let push = match fields.optional("push") {
        Some(value) => Some(line(value, "push", LONGEST_CUE, flaws)?),
        None => None,
    };
    // Files from before there was a field for it say it at the end of `say`.
    let (say, push) = match (say.split_once(" To push: "), push) {
        (Some((say, push)), None) => (say.to_owned(), push.to_owned()),
        (_, push) => (say, push.unwrap_or_default()),
    };
    Some(Cues { say, push, hands: hands?, feet: feet?, spine: spine?, watch: watch?, mistakes: mistakes? })
}
