//! What a client lies on, sits on, leans on and holds.

use crate::catalogue::{Equipment, HandPlace, Position, WallPlace};
use crate::figure::flesh;
use crate::figure::joints::{MovingPart, OTHER, WORKED};
use crate::figure::skeleton::{Arm, HAND};
use crate::figure::vector::{Vec3, vec3};

use super::draft::Draft;
use super::lying::{BOLSTER, TABLE};
use super::seated::{HANGS, SEAT};
use super::thing::{Prop, Solid};

/// How far the mat reaches beyond the body.
const MARGIN: f64 = 0.05;
/// Thickness of a mat, of a board.
const MAT: f64 = 0.022;
const BOARD: f64 = 0.026;
/// How far a seat is aside of whoever sits on its edge.
const EDGE: f64 = 0.10;

pub(super) fn add(draft: &mut Draft<'_>) {
    if draft.surface > 0.0 {
        table(draft);
    } else if draft.form.is_on_floor() {
        mat(draft);
    }
    if draft.needs(Equipment::Chair) {
        chair(draft);
    }
    if draft.needs(Equipment::Wall) {
        wall(draft);
    }
    if draft.needs(Equipment::Bolster) {
        bolster(draft);
    }
    if draft.needs(Equipment::Strap) {
        strap(draft);
    }
}

impl Draft<'_> {
    fn block(&mut self, low: Vec3, high: Vec3) {
        self.props.push(Prop { is_mat: false, is_held: false, solid: Solid::Block(low, high) });
    }

    fn rod(&mut self, from: Vec3, to: Vec3, radius: f64, is_held: bool) {
        self.props.push(Prop { is_mat: false, is_held, solid: Solid::Rod(from, to, radius) });
    }

    /// What lies on the floor or might: the points that a mat goes under.
    fn footprint(&self) -> (Vec3, Vec3) {
        let axis = &self.axis;
        let mut points = vec![axis.pelvis.at, axis.thorax.at, axis.neck.at, axis.skull()];
        for leg in &self.legs {
            points.extend([leg.thigh.at, leg.knee(), leg.ankle(), leg.tip()]);
        }
        if self.form.position != Position::Seated {
            points.extend(self.arms.iter().map(Arm::elbow));
        }
        points.extend(self.arms.iter().flat_map(|arm| [arm.wrist(), arm.tip()]).filter(|at| at.z < 0.06));
        points.iter().fold(
            (vec3(f64::INFINITY, f64::INFINITY, 0.0), vec3(f64::NEG_INFINITY, f64::NEG_INFINITY, 0.0)),
            |(low, high), at| {
                (vec3(low.x.min(at.x), low.y.min(at.y), 0.0), vec3(high.x.max(at.x), high.y.max(at.y), 0.0))
            },
        )
    }
}

fn mat(draft: &mut Draft<'_>) {
    let (low, high) = draft.footprint();
    let around = vec3(MARGIN, MARGIN, 0.0);
    let (low, high) = (low - around, (high + around).at_height(0.0));
    // A mat is as broad as a body even where everything is in one line.
    let middle = f64::midpoint(low.y, high.y);
    let half = ((high.y - low.y) / 2.0).max(0.17);
    let solid = Solid::Block(vec3(low.x, middle - half, -MAT), vec3(high.x, middle + half, 0.0));
    draft.props.push(Prop { is_mat: true, is_held: false, solid });
}

fn table(draft: &mut Draft<'_>) {
    let hangs = |leg: usize| draft.legs[leg].ankle().z < TABLE - 0.05;
    let heads = if draft.form.position == Position::Supine { -1.0 } else { 1.0 };
    let head = draft.axis.skull().x + heads * 0.10;
    let end = if hangs(WORKED) || hangs(OTHER) {
        draft.axis.pelvis.at.x - heads * 0.045
    } else if draft.form.position == Position::Prone {
        draft.legs[WORKED].ankle().x + 0.05
    } else {
        draft.legs[WORKED].ankle().x - heads * 0.06
    };
    let (low, high) = (head.min(end), head.max(end));
    draft.block(vec3(low, -0.13, TABLE - BOARD * 1.4), vec3(high, 0.13, TABLE));
    for x in [low + 0.06, high - 0.06] {
        draft.rod(vec3(x, 0.0, 0.0), vec3(x, 0.0, TABLE - BOARD), 0.014, false);
    }
}

fn seat(draft: &mut Draft<'_>, middle: Vec3, top: f64) {
    let half = vec3(0.105, 0.105, 0.0);
    let at = middle.at_height(top);
    draft.block((at - half).at_height(top - BOARD), at + half);
    for (x, y) in [(-0.09, -0.09), (-0.09, 0.09), (0.09, -0.09), (0.09, 0.09)] {
        let foot = vec3(at.x + x, at.y + y, 0.0);
        draft.rod(foot, foot.at_height(top - BOARD), 0.009, false);
    }
}

fn chair(draft: &mut Draft<'_>) {
    match draft.form.position {
        Position::Seated => {
            let pelvis = draft.axis.pelvis.at;
            // Where one thigh hangs off the edge, the seat is under the other one alone.
            let aside = if draft.joints.legs[WORKED].flexion < HANGS { -EDGE } else { 0.0 };
            let middle = pelvis.y + aside;
            seat(draft, vec3(pelvis.x + 0.015, middle, 0.0), SEAT);
            let back = pelvis.x - 0.095;
            draft.block(vec3(back - 0.018, middle - 0.09, SEAT), vec3(back, middle + 0.09, SEAT + 0.27));
        }
        Position::Standing => {
            let ankle = draft.legs[WORKED].ankle();
            let top = ankle.z - if draft.joints.legs[WORKED].knee > 45.0 { 0.028 } else { 0.034 };
            let ahead = if draft.joints.legs[WORKED].knee > 45.0 { -0.02 } else { 0.04 };
            seat(draft, vec3(ankle.x + ahead, ankle.y, 0.0), top);
        }
        Position::Kneeling => {
            let [a, b] = [WORKED, OTHER].map(|side| draft.arms[side].hand.down(HAND * 0.4));
            let middle = a.towards(b, 0.5);
            seat(draft, middle, middle.z - flesh::HAND.0 - 0.002);
        }
        _ => {
            let [a, b] = [WORKED, OTHER].map(|side| draft.legs[side].shank.down(0.16));
            let middle = a.towards(b, 0.5);
            seat(draft, middle, middle.z - flesh::SHANK.0);
        }
    }
}

fn wall(draft: &mut Draft<'_>) {
    const HEIGHT: f64 = 1.05;
    let hand = draft.arms[WORKED].tip();
    let beside = draft.form.drawing.wall == Some(WallPlace::Side);
    if beside {
        let y = [WORKED, OTHER].map(|side| draft.arms[side].tip().y).into_iter().fold(f64::MIN, f64::max);
        draft.block(vec3(-0.2, y + 0.014, 0.0), vec3(0.25, y + 0.05, HEIGHT));
    } else if draft.worked == MovingPart::Arm || draft.worked == MovingPart::Trunk {
        // A post or the edge of a door: where the hand is.
        let wrist = draft.arms[WORKED].wrist();
        let behind = hand.x < draft.axis.thorax.at.x - 0.08;
        let x = if behind { hand.x.min(wrist.x) - 0.016 } else { hand.x.max(wrist.x) + 0.016 };
        let (low, high) = if behind { (x - 0.04, x) } else { (x, x + 0.04) };
        draft.block(vec3(low, hand.y - 0.03, 0.0), vec3(high, hand.y + 0.03, HEIGHT));
    } else {
        let front = |side: usize| {
            let arm = &draft.arms[side];
            arm.tip().x.max(arm.wrist().x)
        };
        let x = front(WORKED).max(front(OTHER)) + 0.014;
        draft.block(vec3(x, -0.2, 0.0), vec3(x + 0.036, 0.2, HEIGHT));
    }
}

fn bolster(draft: &mut Draft<'_>) {
    let axis = draft.axis;
    match draft.form.position {
        Position::Supine => {
            let low = axis.pelvis.at.at_height(BOLSTER * 0.5);
            let high = axis.skull().at_height(BOLSTER * 0.5);
            draft.rod(low, high, BOLSTER * 0.5, false);
        }
        Position::Prone => {
            let knee = draft.legs[WORKED].thigh.down(0.19);
            let radius = ((knee.z - flesh::THIGH.1) / 2.0).max(0.02);
            let at = knee.at_height(radius);
            draft.rod(at - vec3(0.0, 0.05, 0.0), at + vec3(0.0, 0.05, 0.0), radius, false);
        }
        Position::SideLying => {
            let at = axis.lumbar.point(vec3(0.0, 0.0, 0.05));
            let radius = ((at.z - 0.068) / 2.0).max(0.022);
            let at = at.at_height(radius);
            draft.rod(at - vec3(0.0, 0.12, 0.0), at + vec3(0.0, 0.12, 0.0), radius, false);
        }
        _ => {
            let at = vec3(axis.pelvis.at.x - 0.01, 0.0, 0.0);
            let shank = draft.legs[OTHER].ankle().z.min(draft.legs[WORKED].ankle().z) + flesh::SHANK.1;
            let folded = draft.joints.legs[WORKED].rotation >= 30.0;
            let low = if folded { 0.0 } else { shank };
            let high = (axis.pelvis.at.z - 0.055).max(low + 0.02);
            let radius = (high - low) / 2.0;
            let at = at.at_height(low + radius);
            draft.rod(at - vec3(0.03, 0.08, 0.0), at + vec3(-0.03, 0.08, 0.0), radius, false);
        }
    }
}

fn strap(draft: &mut Draft<'_>) {
    let leg = &draft.legs[WORKED];
    let round = if leg.shank.turn.z.dot(leg.thigh.turn.z) < 0.3 { leg.ankle() } else { leg.ball() };
    let holds = draft.form.drawing.hands.is_some_and(|hands| hands[WORKED] == HandPlace::Strap);
    let hands = [WORKED, OTHER].map(|side| draft.arms[side].hand.down(HAND * 0.6));
    let both = holds || !draft.joints.places_arm(WORKED);
    draft.rod(round, hands[WORKED], 0.006, true);
    if both {
        draft.rod(round, hands[OTHER], 0.006, true);
    }
}
