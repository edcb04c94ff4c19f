//! REBA's tables and the way through them.
//!
//! Source: Hignett and `McAtamney`, Rapid Entire Body Assessment (REBA), Applied Ergonomics 2000;31:201-205, read in
//! later printings of its tables that agree entry by entry, among them Villar Fernandez, Posturas de trabajo, INSHT
//! 2015.

use crate::names::OutOfRange;

/// Table A: trunk 1-5, by neck 1-3, by legs 1-4.
const TABLE_A: [[[u8; 4]; 3]; 5] = [
    [[1, 2, 3, 4], [1, 2, 3, 4], [3, 3, 5, 6]],
    [[2, 3, 4, 5], [3, 4, 5, 6], [4, 5, 6, 7]],
    [[2, 4, 5, 6], [4, 5, 6, 7], [5, 6, 7, 8]],
    [[3, 5, 6, 7], [5, 6, 7, 8], [6, 7, 8, 9]],
    [[4, 6, 7, 8], [6, 7, 8, 9], [7, 8, 9, 9]],
];

/// Table B: upper arm 1-6, by lower arm 1-2, by wrist 1-3.
const TABLE_B: [[[u8; 3]; 2]; 6] = [
    [[1, 2, 2], [1, 2, 3]],
    [[1, 2, 3], [2, 3, 4]],
    [[3, 4, 5], [4, 5, 5]],
    [[4, 5, 5], [5, 6, 7]],
    [[6, 7, 8], [7, 8, 8]],
    [[7, 8, 8], [8, 9, 9]],
];

/// Table C: Score A 1-12, by Score B 1-12.
const TABLE_C: [[u8; 12]; 12] = [
    [1, 1, 1, 2, 3, 3, 4, 5, 6, 7, 7, 7],
    [1, 2, 2, 3, 4, 4, 5, 6, 6, 7, 7, 8],
    [2, 3, 3, 3, 4, 5, 6, 7, 7, 8, 8, 8],
    [3, 4, 4, 4, 5, 6, 7, 8, 8, 9, 9, 9],
    [4, 4, 4, 5, 6, 7, 8, 8, 9, 9, 9, 9],
    [6, 6, 6, 7, 8, 8, 9, 9, 10, 10, 10, 10],
    [7, 7, 7, 8, 9, 9, 9, 10, 10, 11, 11, 11],
    [8, 8, 8, 9, 10, 10, 10, 10, 10, 11, 11, 11],
    [9, 9, 9, 10, 10, 10, 11, 11, 11, 12, 12, 12],
    [10, 10, 10, 11, 11, 11, 11, 12, 12, 12, 12, 12],
    [11, 11, 11, 11, 12, 12, 12, 12, 12, 12, 12, 12],
    [12, 12, 12, 12, 12, 12, 12, 12, 12, 12, 12, 12],
];

/// The scores of the parts of the body, twist and the like included.
///
/// Twisted or bent to the side adds 1 once, as the method's authors have it; a widely copied worksheet adds 1 for
/// each and then runs out of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Posture {
    /// 1 upright to 4 bent more than 60 degrees; 1 more, up to 5, with a twist or side bend.
    pub trunk: u8,
    /// 1 to 2; 1 more with a twist or side bend.
    pub neck: u8,
    /// 1 on both legs or sitting, 2 unstable or on one; knees bent add up to 2.
    pub legs: u8,
    /// Weight in the hands: 0 below 5 kg, 1 to 10 kg, 2 above; 1 more if it comes suddenly.
    pub load: u8,
    /// 1 to 4 by how far it is raised; abducted, rotated or shrugged adds, supported takes off.
    pub upper_arm: u8,
    /// 1 from 60 to 100 degrees, else 2.
    pub lower_arm: u8,
    /// 1 up to 15 degrees, 2 beyond; 1 more with a twist.
    pub wrist: u8,
    /// Hand hold: 0 good, 1 fair, 2 poor, 3 not acceptable.
    pub coupling: u8,
    /// Held longer than a minute, repeated often, or changing fast: 1 each.
    pub activity: u8,
}

/// What the tables say of a posture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Score {
    /// Trunk, neck and legs by table A, without load.
    pub table_a: u8,
    /// Table A and load, 1 to 12.
    pub a: u8,
    /// Arm and wrist by table B, without coupling.
    pub table_b: u8,
    /// Table B and coupling, 1 to 12.
    pub b: u8,
    /// Table C, 1 to 12.
    pub c: u8,
    /// The REBA score, 1 to 15.
    pub total: u8,
}

/// How pressing it is to change a posture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ActionLevel {
    /// 1: none necessary.
    Negligible,
    /// 2 to 3: may be necessary.
    Low,
    /// 4 to 7: necessary.
    Medium,
    /// 8 to 10: necessary soon.
    High,
    /// 11 to 15: necessary now.
    VeryHigh,
}

impl ActionLevel {
    /// The risk in a word.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Negligible => "negligible",
            Self::Low => "low",
            Self::Medium => "medium",
            Self::High => "high",
            Self::VeryHigh => "very high",
        }
    }
}

impl Posture {
    /// Scores the posture.
    ///
    /// # Errors
    /// Names the first part whose score no table has a place for.
    pub fn score(self) -> Result<Score, OutOfRange> {
        let trunk = within("trunk score", self.trunk, 1, 5)?;
        let neck = within("neck score", self.neck, 1, 3)?;
        let legs = within("legs score", self.legs, 1, 4)?;
        let load = within("load score", self.load, 0, 3)?;
        let upper_arm = within("upper arm score", self.upper_arm, 1, 6)?;
        let lower_arm = within("lower arm score", self.lower_arm, 1, 2)?;
        let wrist = within("wrist score", self.wrist, 1, 3)?;
        let coupling = within("coupling score", self.coupling, 0, 3)?;
        let activity = within("activity score", self.activity, 0, 3)?;
        let table_a = TABLE_A[usize::from(trunk) - 1][usize::from(neck) - 1][usize::from(legs) - 1];
        let table_b = TABLE_B[usize::from(upper_arm) - 1][usize::from(lower_arm) - 1][usize::from(wrist) - 1];
        let (a, b) = (table_a + load, table_b + coupling);
        let c = TABLE_C[usize::from(a) - 1][usize::from(b) - 1];
        Ok(Score { table_a, a, table_b, b, c, total: c + activity })
    }
}

impl Score {
    /// How pressing a change is.
    pub const fn action_level(self) -> ActionLevel {
        match self.total {
            0..=1 => ActionLevel::Negligible,
            2..=3 => ActionLevel::Low,
            4..=7 => ActionLevel::Medium,
            8..=10 => ActionLevel::High,
            _ => ActionLevel::VeryHigh,
        }
    }
}

fn within(what: &'static str, found: u8, min: u8, max: u8) -> Result<u8, OutOfRange> {
    if (min..=max).contains(&found) {
        return Ok(found);
    }
    Err(OutOfRange { what, found: found.into(), min: min.into(), max: max.into(), why: "the tables of REBA" })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Trunk, neck, legs, load; upper arm, lower arm, wrist, coupling; activity.
    fn posture(group_a: [u8; 4], group_b: [u8; 4], activity: u8) -> Posture {
        let [trunk, neck, legs, load] = group_a;
        let [upper_arm, lower_arm, wrist, coupling] = group_b;
        Posture { trunk, neck, legs, load, upper_arm, lower_arm, wrist, coupling, activity }
    }

    fn score(group_a: [u8; 4], group_b: [u8; 4]) -> Score {
        posture(group_a, group_b, 0).score().expect("in the tables")
    }

    #[test]
    fn tables_add_up() {
        // Sums over the printings of the tables of Hignett & McAtamney 2000 that were compared; added by us.
        let sum = |entries: &mut dyn Iterator<Item = u8>| entries.map(u32::from).sum::<u32>();
        assert_eq!(sum(&mut TABLE_A.into_iter().flatten().flatten()), 321);
        assert_eq!(sum(&mut TABLE_B.into_iter().flatten().flatten()), 177);
        assert_eq!(sum(&mut TABLE_C.into_iter().flatten()), 1192);
    }

    #[test]
    fn no_table_falls_along_any_axis() {
        for trunk in 1..=5 {
            for neck in 1..=3 {
                for legs in 1..=4 {
                    let here = score([trunk, neck, legs, 0], [1, 1, 1, 0]).table_a;
                    let mores = [[trunk + 1, neck, legs], [trunk, neck + 1, legs], [trunk, neck, legs + 1]];
                    for [trunk, neck, legs] in mores {
                        let next = posture([trunk, neck, legs, 0], [1, 1, 1, 0], 0).score();
                        assert!(next.is_err() || next.is_ok_and(|next| next.table_a >= here));
                    }
                }
            }
        }
        for upper_arm in 1..=6 {
            for lower_arm in 1..=2 {
                for wrist in 1..=3 {
                    let here = score([1, 1, 1, 0], [upper_arm, lower_arm, wrist, 0]).table_b;
                    let mores = [
                        [upper_arm + 1, lower_arm, wrist],
                        [upper_arm, lower_arm + 1, wrist],
                        [upper_arm, lower_arm, wrist + 1],
                    ];
                    for [upper_arm, lower_arm, wrist] in mores {
                        let next = posture([1, 1, 1, 0], [upper_arm, lower_arm, wrist, 0], 0).score();
                        assert!(next.is_err() || next.is_ok_and(|next| next.table_b >= here));
                    }
                }
            }
        }
        assert!(TABLE_C.iter().all(|row| row.is_sorted()));
        assert!((0..12).all(|column| TABLE_C.is_sorted_by_key(|row| row[column])));
    }

    #[test]
    fn the_ends_of_the_scale_are_one_and_fifteen() {
        // Hignett & McAtamney 2000: the score runs from 1 to 15.
        let least = score([1, 1, 1, 0], [1, 1, 1, 0]);
        assert_eq!((least.total, least.action_level()), (1, ActionLevel::Negligible));
        let most = posture([5, 3, 4, 3], [6, 2, 3, 3], 3).score().expect("in the tables");
        assert_eq!((most.a, most.b, most.c, most.total), (12, 12, 12, 15));
        assert_eq!(most.action_level(), ActionLevel::VeryHigh);
    }

    #[test]
    fn worked_examples_come_out_as_far_as_they_are_legible() {
        // A filled-in English course form, welding: table A 6, Score A 9, table B 5, Score B 8, table C 11.
        let welding = score([4, 1, 3, 3], [4, 1, 2, 3]);
        assert_eq!((welding.table_a, welding.a, welding.table_b, welding.b, welding.c), (6, 9, 5, 8, 11));
        // Its activity box is not legible, and decides nothing: whatever stood there, it is action level 4.
        for activity in 0..=3 {
            let whole = posture([4, 1, 3, 3], [4, 1, 2, 3], activity).score().expect("in the tables");
            assert_eq!(whole.action_level(), ActionLevel::VeryHigh);
        }
        // The worked example of the open library `ergonomics` (rs9000, README): trunk 2, neck 2, legs 2; upper arm 1,
        // lower arm 2, wrist 3 on the left and 2 on the right: table A 4, table B 3 and 2, table C 4 both, REBA 4 and a
        // medium risk. Load, grip and activity are not named there, so none is put in.
        for (wrist, table_b) in [(3, 3), (2, 2)] {
            let bent = score([2, 2, 2, 0], [1, 2, wrist, 0]);
            assert_eq!((bent.table_a, bent.table_b, bent.c, bent.total), (4, table_b, 4, 4));
            assert_eq!(bent.action_level(), ActionLevel::Medium);
        }
        // An Indonesian thesis of 2010, pushing water bottles: Score A 5 (its parts are not legible; trunk 3, neck 2
        // and legs 2 are put in here), table B 2, Score B 3, table C 4.
        let bottles = score([3, 2, 2, 0], [2, 1, 2, 1]);
        assert_eq!((bottles.a, bottles.table_b, bottles.b, bottles.c), (5, 2, 3, 4));
        // A filled-in Portuguese form, cleaning a shower cubicle: table A 8.
        assert_eq!(score([5, 3, 2, 0], [5, 2, 2, 0]).table_a, 8);
        // A second Indonesian thesis, unloading sand, with the leg score its author gave: table A 5, Score A 5.
        let sand = score([4, 2, 1, 0], [1, 1, 1, 0]);
        assert_eq!((sand.table_a, sand.a), (5, 5));
    }

    #[test]
    fn postures_of_a_trainer_worked_by_hand() {
        // Read off the tables by hand, not published: upright; at a table; stooped to the floor; stooped and twisted;
        // crouched; stooped for more than a minute.
        for (group_a, group_b, activity, total, action) in [
            ([1, 1, 1, 0], [1, 1, 1, 0], 0, 1, ActionLevel::Negligible),
            ([2, 1, 1, 1], [2, 1, 1, 1], 0, 3, ActionLevel::Low),
            ([4, 2, 1, 2], [3, 1, 1, 1], 0, 8, ActionLevel::High),
            ([5, 2, 1, 2], [3, 1, 1, 1], 0, 9, ActionLevel::High),
            ([3, 2, 4, 1], [3, 1, 1, 1], 0, 9, ActionLevel::High),
            ([4, 2, 1, 2], [3, 1, 1, 1], 1, 9, ActionLevel::High),
        ] {
            let found = posture(group_a, group_b, activity).score().expect("in the tables");
            assert_eq!((found.total, found.action_level()), (total, action));
        }
    }

    #[test]
    fn a_score_outside_the_tables_is_refused() {
        // A worksheet that adds 1 for twist and 1 for side bend reaches trunk 6; the method has no place for it.
        let refused = posture([6, 1, 1, 0], [1, 1, 1, 0], 0).score().expect_err("no such row");
        assert_eq!(refused.to_string(), "trunk score is 6, but must be 1 to 5 (the tables of REBA)");
    }
}
