//! Random planning problems of real size, by seed: the same on every machine.
//!
//! Three kinds: (A) 22 muscles of which some want little, (B) 4 to 24 muscles, (C) left and right wanting unlike
//! things, with choices of one side only. A fifth has pinned stretches, a third favourites with negative costs.

use std::collections::BTreeMap;

use matside::handout::instance::{ChoiceRow, Instance, StretchChoices, UnitWant};

/// A named problem.
pub(crate) struct Named {
    /// Kind, minutes and number, such as `C-10-11`.
    pub(crate) name: String,
    /// The problem.
    pub(crate) instance: Instance,
}

/// How many problems the reference file holds.
pub(crate) const COUNT: u64 = 324;

/// Splitmix64 (Steele, Lea and Flood, 'Fast splittable pseudorandom number generators', OOPSLA 2014).
pub(crate) struct Random(pub(crate) u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `end`.
    pub(crate) fn below(&mut self, end: u32) -> u32 {
        u32::try_from(self.next() % u64::from(end)).expect("below a u32")
    }

    /// Whether something of so many hundredths comes true.
    pub(crate) fn chance(&mut self, percent: u32) -> bool {
        self.below(100) < percent
    }

    /// One of several.
    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(u32::try_from(from.len()).expect("short")) as usize]
    }
}

const POSITIONS: [&str; 6] = ["supine", "side_lying", "prone", "kneeling", "seated", "standing"];
const CURVE: [(f64, f64); 7] =
    [(0.0, 0.0), (10.0, 0.36), (20.0, 0.6), (30.0, 0.76), (40.0, 0.88), (50.0, 0.96), (60.0, 1.0)];

/// The problem of that number.
pub(crate) fn instance(number: u64) -> Named {
    let mut random = Random(number.wrapping_mul(0x5851_F42D_4C95_7F2D) + 1);
    let kind = ["A", "B", "C"][usize::try_from(number % 3).expect("small")];
    let minutes = [3, 5, 7, 10, 15, 20][usize::try_from(number / 3 % 6).expect("small")];
    let coarse = (number / 18).is_multiple_of(2);
    let muscles = if kind == "A" { 22 } else { 4 + random.below(21) };
    let mut units = Vec::new();
    let mut index: BTreeMap<(u32, &str), usize> = BTreeMap::new();
    for muscle in 0..muscles {
        let sides: &[&str] = if kind == "C" && random.chance(60) { &["left", "right"] } else { &["both"] };
        for &side in sides {
            index.insert((muscle, side), units.len());
            units.push(UnitWant {
                muscle: format!("muscle-{muscle}"),
                side: side.to_owned(),
                weight: weight(&mut random, coarse),
                done_s: if random.chance(87) { 0 } else { random.pick(&[5, 10, 15, 20, 30]) },
                curve: None,
            });
        }
    }
    let mut stretches = Vec::new();
    let mut id = 0;
    for number in 0..26 + random.below(21) {
        let choices = stretch(&mut random, muscles, &index, kind == "C", &mut id);
        stretches.push(StretchChoices { id: format!("stretch-{number}"), pinned: false, choices });
    }
    if random.chance(20) {
        for _ in 0..random.pick(&[1, 2]) {
            let at = random.below(20) as usize;
            stretches[at].pinned = true;
        }
    }
    if random.chance(30) {
        for _ in 0..3 {
            let at = random.below(26) as usize;
            stretches[at]
                .choices
                .iter_mut()
                .for_each(|choice| choice.cost = ((choice.cost - 0.1) * 100.0).round() / 100.0);
        }
    }
    Named {
        name: format!("{kind}-{minutes}-{number}"),
        instance: Instance {
            budget_s: minutes * 60,
            opening_s: 15,
            curve: CURVE.to_vec(),
            units,
            positions: POSITIONS.map(str::to_owned).to_vec(),
            change_s: changes(),
            turn_s: POSITIONS.iter().zip([5, 10, 5, 5, 0, 0]).map(|(p, s)| ((*p).to_owned(), s)).collect(),
            stretches,
        },
    }
}

fn weight(random: &mut Random, coarse: bool) -> f64 {
    let hundredths = if random.chance(50) {
        random.pick(&[100, 200, 300]) * random.pick(&[2, 3]) / 2
    } else {
        1 + random.below(100)
    };
    let hundredths = if coarse { hundredths.div_ceil(25) * 25 } else { hundredths };
    f64::from(hundredths) / 100.0
}

/// The choices of one stretch: one to three forms, static and often contract-relax, several doses.
fn stretch(
    random: &mut Random,
    muscles: u32,
    index: &BTreeMap<(u32, &'static str), usize>,
    one_sided: bool,
    id: &mut usize,
) -> Vec<ChoiceRow> {
    let home = random.pick(&[0, 0, 0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4, 4, 5, 5]);
    let reach = random.pick(&[1, 1, 2, 2, 3]);
    let mut targets: Vec<(u32, u32)> = Vec::new();
    while targets.len() < reach {
        let muscle = random.below(muscles);
        if targets.iter().all(|target| target.0 != muscle) {
            let share = if targets.is_empty() { 100 } else { random.pick(&[50, 30]) };
            targets.push((muscle, share));
        }
    }
    let at_once = random.chance(25);
    let mut rows = Vec::new();
    for form in 0..random.pick(&[1, 1, 2, 3]) {
        let position = if random.chance(90) { home } else { random.pick(&[0, 1, 2, 3, 4, 5]) };
        let setup = random.pick(&[5, 5, 10]);
        let cost = f64::from(2 + random.below(4)) / 100.0;
        for (method, doses, credit) in
            [("static", &[15, 20, 30, 45, 60][..], 100), ("contract-relax", &[15, 30], 130)]
        {
            if method == "contract-relax" && random.chance(50) {
                continue;
            }
            for &dose in doses {
                let length = if method == "static" { dose } else { dose + if dose == 15 { 10 } else { 15 } };
                let gain = |sides: &[&str]| -> Vec<(usize, u32)> {
                    let mut gains = BTreeMap::new();
                    for &(muscle, share) in &targets {
                        let seconds = dose * share * credit / 10_000 / 5 * 5;
                        let sides = sides.iter().chain([&"both"]).filter(|_| seconds > 0);
                        gains.extend(sides.filter_map(|&side| Some((*index.get(&(muscle, side))?, seconds))));
                    }
                    gains.into_iter().collect()
                };
                let mut push = |sides: u32, two_sided: bool, gain: Vec<(usize, u32)>| {
                    rows.push(ChoiceRow {
                        id: *id,
                        form: format!("form-{form}"),
                        method: method.to_owned(),
                        position: POSITIONS[position].to_owned(),
                        time_s: sides * (length + setup),
                        two_sided,
                        gain,
                        cost,
                    });
                    *id += 1;
                };
                if at_once {
                    push(1, false, gain(&["left", "right"]));
                } else {
                    push(2, true, gain(&["left", "right"]));
                    for side in ["left", "right"].into_iter().filter(|_| one_sided) {
                        let own: Vec<(usize, u32)> = gain(&[side])
                            .into_iter()
                            .filter(|gain| index.iter().any(|(key, unit)| *unit == gain.0 && key.1 == side))
                            .collect();
                        if !own.is_empty() {
                            push(1, side == "right", own);
                        }
                    }
                }
            }
        }
    }
    rows
}

fn changes() -> BTreeMap<String, BTreeMap<String, u32>> {
    let rows: [(&str, &[u32]); 6] = [
        ("start", &[10, 10, 10, 10, 10, 0]),
        ("supine", &[5, 10, 10, 10, 15]),
        ("side_lying", &[5, 10, 10, 15]),
        ("prone", &[5, 10, 10]),
        ("kneeling", &[5, 5]),
        ("seated", &[5]),
    ];
    let row = |(from, seconds): &(&str, &[u32])| {
        let later = &POSITIONS[POSITIONS.len() - seconds.len()..];
        let row = later.iter().zip(*seconds).map(|(to, seconds)| ((*to).to_owned(), *seconds)).collect();
        ((*from).to_owned(), row)
    };
    rows.iter().map(row).collect()
}
