//! One way of doing a stretch, and how long it is done.

use std::sync::LazyLock;

use crate::body::{Degrees, Motion, Muscle, Seconds, Side};
use crate::names::{Finder, Found, UnknownName, named, other_names, word_id};

use super::dose::{ContractRelax, Method};
use super::drawing::Drawing;
use super::loads::Loads;
use super::trainer_posture::TrainerPosture;

word_id! {
    /// Names a stretch.
    StretchId, "stretch id"
}
word_id! {
    /// Names a form within its stretch.
    FormId, "form id"
}

named! {
    /// How the client lies, kneels, sits or stands, in the order in which a closing block goes through them.
    pub enum Position("position") {
        /// On the back.
        Supine = "supine",
        /// On one side.
        SideLying = "side_lying",
        /// On the belly.
        Prone = "prone",
        /// On one or both knees.
        Kneeling = "kneeling",
        /// Sitting.
        Seated = "seated",
        /// Standing.
        Standing = "standing",
    }
}

impl Position {
    /// The position that a word names, by its id, its plain name or another name.
    ///
    /// # Errors
    /// Names the nearest one.
    pub fn named(word: &str) -> Result<Self, UnknownName> {
        static FINDER: LazyLock<Finder<Position>> = LazyLock::new(|| {
            let own = Position::ALL
                .iter()
                .flat_map(|&position| [position.id(), position.plain_name()].map(|name| (position, name)));
            let others = other_names("position").flat_map(|other| {
                other.ids().filter_map(|id| id.parse().ok()).map(|position| (position, other.name))
            });
            Finder::new(own.chain(others).map(|(position, name)| (position, name.to_owned())))
        });
        match FINDER.find(word) {
            Found::Named(all) if all.len() == 1 => Ok(all[0]),
            _ => Err(UnknownName::new("position", word, Self::ALL.iter().map(|position| position.id()))),
        }
    }

    /// The position in plain words.
    pub const fn plain_name(self) -> &'static str {
        match self {
            Self::Supine => "on the back",
            Self::SideLying => "on the side",
            Self::Prone => "on the belly",
            Self::Kneeling => "kneeling",
            Self::Seated => "seated",
            Self::Standing => "standing",
        }
    }

    /// Whether the client is on the floor with such equipment.
    pub(super) fn is_on_floor(self, equipment: &[Equipment]) -> bool {
        match self {
            Self::Standing => false,
            Self::Seated => !equipment.contains(&Equipment::Chair) && !equipment.contains(&Equipment::Table),
            _ => !equipment.contains(&Equipment::Table),
        }
    }
}

named! {
    /// Who moves the limb.
    pub enum Helper("helper") {
        /// The trainer moves and holds it.
        Assisted = "assisted",
        /// The client does it alone.
        Client = "self",
    }
}

named! {
    /// Whether a form is done on one side and then the other.
    pub enum Sides("sides") {
        /// Left and right in turn.
        Each = "each",
        /// Both at once.
        Both = "both",
    }
}

named! {
    /// How commonly trainers choose a form for what it is meant for, where they can choose; common practice, no source.
    pub enum Usual("how usual") {
        /// One of several.
        Often = "often",
        /// The first that comes to mind.
        Always = "always",
    }
}

named! {
    /// What a form needs beside a mat.
    pub enum Equipment("equipment") {
        /// A treatment table.
        Table = "table",
        /// A strap or towel.
        Strap = "strap",
        /// A chair or bench.
        Chair = "chair",
        /// A wall or door frame.
        Wall = "wall",
        /// A pillow or bolster.
        Bolster = "bolster",
    }
}

/// A joint motion to about so many degrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MotionAngle {
    /// The motion.
    pub motion: Motion,
    /// About how far, in degrees; for motions without a usual measure (scapula) a rough figure.
    pub degrees: Degrees,
}

/// A muscle that a form lengthens, and how much of the hold counts for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Target {
    /// The muscle.
    pub muscle: Muscle,
    /// Hundredths of the hold that count for this muscle: 100 for a main target.
    pub share: u8,
}

/// What the trainer reads and says while a form is done. One line each.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cues {
    /// What to say to the client.
    pub say: String,
    /// What the client pushes in contract-relax, after "To push: "; empty where nothing is known.
    pub push: String,
    /// Where the trainer's hands go.
    pub hands: String,
    /// Where the trainer's feet or knees stand.
    pub feet: String,
    /// How the trainer's own spine is kept.
    pub spine: String,
    /// What to watch for.
    pub watch: String,
    /// What usually goes wrong.
    pub mistakes: String,
}

impl Cues {
    /// What to say to the client when the form is worked so: the push belongs to contract-relax alone.
    pub fn said(&self, method: Method) -> String {
        match method {
            Method::ContractRelax if !self.push.is_empty() => format!("{} To push: {}", self.say, self.push),
            _ => self.say.clone(),
        }
    }
}

/// One way of doing a stretch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Form {
    /// Its name within the stretch.
    pub id: FormId,
    /// What a trainer calls it.
    pub name: String,
    /// How the client is placed.
    pub position: Position,
    /// Whether left and right are done in turn or at once.
    pub sides: Sides,
    /// Who moves the limb.
    pub helper: Helper,
    /// What the joints of the worked side do (of both sides if done at once).
    pub motions: Vec<MotionAngle>,
    /// What the joints of the other side do meanwhile.
    pub other_side: Vec<MotionAngle>,
    /// What it puts on the body beside its motions.
    pub loads: Loads,
    /// The muscles that are lengthened, main targets first.
    pub targets: Vec<Target>,
    /// Getting into it, once a side.
    pub setup: Seconds,
    /// What it needs beside a mat.
    pub equipment: Vec<Equipment>,
    /// Lengths of one static hold, shortest first; empty where the form is not held still.
    pub holds: Vec<Seconds>,
    /// Doses of contract-relax; empty where it makes no sense.
    pub contract_relax: Vec<ContractRelax>,
    /// How the trainer is placed; none where it is not told, or no trainer is needed.
    pub trainer: Option<TrainerPosture>,
    /// Gentle enough to end with.
    pub gentle: bool,
    /// How commonly it is chosen; none where it is not marked.
    pub usual: Option<Usual>,
    /// What is read and said.
    pub cues: Cues,
    /// What a picture of it needs to know beyond the motions.
    pub drawing: Drawing,
}

/// A joint in a certain place: a motion, the side whose joint it is (none in the midline) and the degrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlacedMotion {
    /// The motion.
    pub motion: Motion,
    /// Whose joint moves; for bends and turns of the midline, where they go; none for the midline's rest.
    pub side: Option<Side>,
    /// About how far.
    pub degrees: Degrees,
}

impl Form {
    /// Where the joints are when the form is done on `side`; with both sides at once, `None`.
    pub fn pose(&self, side: Option<Side>) -> Vec<PlacedMotion> {
        let mut pose = Vec::new();
        for (motions, mirrored) in [(&self.motions, false), (&self.other_side, true)] {
            for angle in motions {
                let mut place = |worked: Side| {
                    let whose =
                        if angle.motion.is_midline() { angle.motion.towards(worked) } else { Some(worked) };
                    pose.push(PlacedMotion { motion: angle.motion, side: whose, degrees: angle.degrees });
                };
                match side {
                    Some(side) if mirrored => place(side.other()),
                    Some(side) => place(side),
                    None if angle.motion.is_midline() && angle.motion.towards(Side::Left).is_none() => {
                        place(Side::Left);
                    }
                    None => Side::ALL.iter().for_each(|&side| place(side)),
                }
            }
        }
        pose
    }

    /// Whether the client has to get down to the floor and up again: not standing, nor on a chair or a table.
    pub fn is_on_floor(&self) -> bool {
        self.position.is_on_floor(&self.equipment)
    }

    /// The sides on which it can be worked: left and right in turn, or `None` for both at once.
    pub fn workings(&self) -> &'static [Option<Side>] {
        match self.sides {
            Sides::Each => &[Some(Side::Left), Some(Side::Right)],
            Sides::Both => &[None],
        }
    }
}

/// What a trainer calls one stretch: forms from gentler to further.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stretch {
    /// Its name in files and arguments.
    pub id: StretchId,
    /// What a trainer calls it.
    pub name: String,
    /// Ways of doing it, gentlest first.
    pub forms: Vec<Form>,
}

impl Stretch {
    /// The form of that id.
    pub fn form(&self, id: &FormId) -> Option<&Form> {
        self.forms.iter().find(|form| form.id == *id)
    }

    /// Whether a gentler form of it is done by the same helper.
    pub fn is_further(&self, form: &Form) -> bool {
        let gentler = self.forms.iter().take_while(|other| other.id != form.id);
        gentler.into_iter().any(|other| other.helper == form.helper)
    }

    /// The next gentler form, if there is one.
    pub fn easier(&self, id: &FormId) -> Option<&Form> {
        let place = self.forms.iter().position(|form| form.id == *id)?;
        self.forms.get(place.checked_sub(1)?)
    }

    /// The next form that goes further, if there is one.
    pub fn further(&self, id: &FormId) -> Option<&Form> {
        let place = self.forms.iter().position(|form| form.id == *id)?;
        self.forms.get(place + 1)
    }
}
