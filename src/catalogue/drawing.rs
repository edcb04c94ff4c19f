//! What a picture of a form needs to know beyond its motions: only where the rules of `figure` cannot tell.

use crate::names::named;

use super::fields::{Fields, items, word};
use super::flaw::Flaws;

named! {
    /// Where a hand of the client is while the form is held.
    ///
    /// `Thigh` to `Foot` are those of the worked leg, or of the hand's own side where both sides are worked.
    pub enum HandPlace("place of a hand") {
        /// Where it lies or hangs by itself.
        Rest = "rest",
        /// On the hip bone.
        Hip = "hip",
        /// On the back of the pelvis.
        BackOfPelvis = "back_of_pelvis",
        /// Behind the waist, the arm turned in.
        BehindWaist = "behind_waist",
        /// Behind the back, one hand at the other's wrist.
        BehindBack = "behind_back",
        /// On the other shoulder, across the chest.
        Crossed = "crossed",
        /// Behind the head.
        BehindHead = "behind_head",
        /// Under the forehead.
        UnderForehead = "under_forehead",
        /// On the side of the head.
        Head = "head",
        /// At the elbow of the other arm.
        OtherElbow = "other_elbow",
        /// At the hand of the other arm.
        OtherHand = "other_hand",
        /// On the floor in front.
        FloorFront = "floor_front",
        /// On the floor beside.
        FloorSide = "floor_side",
        /// On the floor behind.
        FloorBehind = "floor_behind",
        /// At the edge of the seat.
        Seat = "seat",
        /// Behind or under the thigh.
        UnderThigh = "under_thigh",
        /// On the thigh.
        Thigh = "thigh",
        /// On the knee.
        Knee = "knee",
        /// On the shin.
        Shin = "shin",
        /// At the ankle.
        Ankle = "ankle",
        /// At the foot.
        Foot = "foot",
        /// On the thigh of the other leg.
        OtherThigh = "other_thigh",
        /// At the knee of the other leg.
        OtherKnee = "other_knee",
        /// At the strap.
        Strap = "strap",
        /// On the wall in front.
        Wall = "wall",
        /// On the wall beside.
        WallSide = "wall_side",
        /// On the trainer's shoulder.
        Trainer = "trainer",
    }
}

named! {
    /// Where a form is seen from.
    pub enum SeenFrom("point of view") {
        /// From the worked side.
        Side = "side",
        /// From the front and the side.
        ThreeQuarter = "three_quarter",
        /// From the front.
        Front = "front",
        /// From behind.
        Back = "back",
        /// From above and the side.
        High = "high",
        /// From straight above.
        Above = "above",
    }
}

named! {
    /// Where the wall stands.
    pub enum WallPlace("place of the wall") {
        /// In front of the client.
        Front = "front",
        /// Beside the worked side.
        Side = "side",
        /// Behind the client.
        Behind = "behind",
    }
}

/// What is said of the picture of a form; mostly nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Drawing {
    /// The hand of the worked side, the other hand.
    pub hands: Option<[HandPlace; 2]>,
    /// Where it is seen from.
    pub seen_from: Option<SeenFrom>,
    /// Where the wall stands.
    pub wall: Option<WallPlace>,
}

const HANDS_EXAMPLE: &str = "client_hands = [\"hip\", \"rest\"]";

/// Reads `client_hands`, `seen_from` and `wall`, which may all be left out.
pub(super) fn read(fields: &mut Fields<'_, '_>, flaws: &mut Flaws<'_>) -> Option<Drawing> {
    let before = flaws.count();
    let hands = fields.optional("client_hands").and_then(|value| {
        let places: Vec<HandPlace> = items(value, "client_hands", HANDS_EXAMPLE, flaws)?
            .iter()
            .filter_map(|item| word(item, "client_hands", HANDS_EXAMPLE, flaws))
            .collect();
        if let [worked, other] = places[..] {
            return Some([worked, other]);
        }
        if flaws.count() == before {
            let remedy = format!("name the worked side's hand and the other one, as in `{HANDS_EXAMPLE}`");
            flaws.add(&value.span(), "`client_hands` does not name two hands", remedy);
        }
        None
    });
    let seen_from = fields
        .optional("seen_from")
        .and_then(|value| word(value, "seen_from", "seen_from = \"front\"", flaws));
    let wall = fields.optional("wall").and_then(|value| word(value, "wall", "wall = \"side\"", flaws));
    (flaws.count() == before).then_some(Drawing { hands, seen_from, wall })
}
