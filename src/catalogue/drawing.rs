//! What a picture of a form needs to know beyond its motions: only where the rules of `figure` cannot tell.

use crate::document::values::word;
use crate::document::{Table, Walker};
use crate::names::named;

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

const HANDS: &str = "client_hands = [\"hip\", \"rest\"]";

/// Reads `client_hands`, `seen_from` and `wall`, which may all be left out.
pub(super) fn read(walk: &mut Walker<'_>, table: &mut Table<'_, '_>) -> Drawing {
    let before = walk.count();
    let places: Vec<HandPlace> = walk.list(table, HANDS, word);
    let hands = <[HandPlace; 2]>::try_from(places).ok();
    if let Some(value) = table.get("client_hands").filter(|_| hands.is_none() && walk.count() == before) {
        let remedy = format!("name the worked side's hand and the other one, as in `{HANDS}`");
        walk.flaw(value.span(), "`client_hands` does not name two hands", remedy);
    }
    let seen_from = walk.may(table, "seen_from = \"front\"", word);
    let wall_place = walk.may(table, "wall = \"side\"", word);
    Drawing { hands, seen_from, wall: wall_place }
}
