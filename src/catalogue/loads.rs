//! What a form puts on the client's body beside its motions: weight, pressure, pull, and where hands are.
//!
//! Conditions forbid or cap these as they do motions. What a form does not tell counts as there wherever its position
//! makes it possible: a trainer's own stretch must not pass for harmless because a line is missing.

use std::str::FromStr;

use crate::body::{BodyPart, Joint, Side};
use crate::document::values::{flag, parsed, text, word};
use crate::document::{Explained, Table, Unknown, Walker};
use crate::names::named;

named! {
    /// How a hand, a strap or a bolster is at a part of the body, from light to firm.
    pub enum Contact("contact") {
        /// Lies on it, carries or guides it.
        Touches = "touches",
        /// Leans on it or holds it down.
        Presses = "presses",
        /// Closes round it, or pulls by it.
        Grips = "grips",
    }
}

named! {
    /// Whose side is meant in a form that is done on one side.
    pub enum Whose("side of the work") {
        /// The worked one.
        Worked = "worked",
        /// The other one.
        Other = "other",
    }
}

named! {
    /// Where the leg of the worked side is when one leg is in front and one behind.
    pub enum Stride("stride") {
        /// In front.
        Front = "front",
        /// Behind.
        Back = "back",
    }
}

/// Something on the worked side (on both, where both are worked at once) or on the other one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OnSide<T> {
    /// What.
    pub what: T,
    /// Whose side.
    pub of: Whose,
}

/// What a form says about its loads.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Loads {
    /// Whether it says anything; an empty table says that there is nothing.
    pub told: bool,
    /// Parts that carry weight beyond what lying, sitting, kneeling or standing on both feet puts on them.
    pub weight_on: Vec<OnSide<BodyPart>>,
    /// The only leg that stands.
    pub one_leg: Option<Whose>,
    /// One leg in front and one behind.
    pub stride: Option<Stride>,
    /// The head at the height of the heart or below it, in a trunk that is not lying.
    pub head_low: bool,
    /// Parts that the client's own thigh, the floor or a bolster presses.
    pub pressed: Vec<BodyPart>,
    /// Joints that are pulled apart lengthwise, by hands or by the client's own weight.
    pub traction: Vec<OnSide<Joint>>,
    /// Where hands and straps are, the client's own as well.
    pub hands: Vec<(Contact, OnSide<BodyPart>)>,
}

/// One load, as a condition forbids or caps it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BodyLoad {
    /// Body weight on a part: on the hands, on one foot, on the head.
    Weight(BodyPart),
    /// Standing on both feet.
    Stands,
    /// Standing on this leg alone.
    OneLeg,
    /// One leg in front and one behind.
    Stride,
    /// Lying on this side.
    LainOn,
    /// The head no higher than the heart.
    HeadLow,
    /// Lain on, or pressed by thigh, floor or bolster.
    Pressed(BodyPart),
    /// A pull along the limb across a joint.
    Traction(Joint),
    /// A hand or strap at a part, at least so firm.
    Contact(Contact, BodyPart),
}

/// A load and the side that bears it; none in the midline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PlacedLoad {
    /// What.
    pub load: BodyLoad,
    /// Whose side.
    pub side: Option<Side>,
}

impl BodyLoad {
    /// Whether a form that bears this load bears `wanted`: a grip is a touch as well.
    pub fn amounts_to(self, wanted: Self) -> bool {
        match (self, wanted) {
            (Self::Contact(has, at), Self::Contact(least, part)) => at == part && has >= least,
            _ => self == wanted,
        }
    }
}

const LOADS: &str = "loads = { weight_on = [\"hand\"], presses = [\"pelvis\"] }";

/// Reads `loads`, which may be left out; then nothing is told.
pub(super) fn read(walk: &mut Walker<'_>, table: &mut Table<'_, '_>) -> Loads {
    let Some(mut rows) = walk.table(table, LOADS, "table of loads") else { return Loads::default() };
    let rows = &mut rows;
    let mut loads = Loads { told: true, ..Loads::default() };
    loads.weight_on = listed(walk, rows, "weight_on = [\"hand\"]");
    loads.traction = listed(walk, rows, "traction = [\"hip\"]");
    let pressed: Vec<OnSide<BodyPart>> = listed(walk, rows, "pressed = [\"belly\"]");
    if let Some(value) = rows.get("pressed").filter(|_| pressed.iter().any(|part| part.of == Whose::Other)) {
        let message = "`pressed` is about the worked side or the middle";
        walk.flaw(value.span(), message, "leave out `other_`");
    }
    loads.pressed = pressed.into_iter().map(|part| part.what).collect();
    for (contact, key) in [
        (Contact::Touches, "touches = [\"shoulder\"]"),
        (Contact::Presses, "presses = [\"pelvis\"]"),
        (Contact::Grips, "grips = [\"foot\"]"),
    ] {
        loads.hands.extend(listed(walk, rows, key).into_iter().map(|part| (contact, part)));
    }
    loads.one_leg = walk.may(rows, "one_leg = \"other\"", word);
    loads.stride = walk.may(rows, "stride = \"back\"", word);
    loads.head_low = walk.may(rows, "head_low = true", flag).unwrap_or_default();
    walk.finish(rows, Unknown::Flaw);
    loads
}

/// A list of parts or joints, those of the other side with `other_` before their name.
fn listed<T>(walk: &mut Walker<'_>, rows: &mut Table<'_, '_>, key: &'static str) -> Vec<OnSide<T>>
where
    T: FromStr<Err: Explained> + PartialEq + Copy,
{
    let mut found: Vec<OnSide<T>> = Vec::new();
    for item in walk.items(rows, key) {
        let on_side = walk.take(key, item, |value| {
            let name = text(value)?;
            let (name, of) = match name.strip_prefix("other_") {
                Some(rest) => (rest, Whose::Other),
                None => (name.as_str(), Whose::Worked),
            };
            Ok(OnSide { what: parsed(name)?, of })
        });
        let Some(on_side) = on_side else { continue };
        if found.contains(&on_side) {
            walk.flaw(item.span(), "this is listed twice", "name it once");
        }
        found.push(on_side);
    }
    found
}
