//! Clients with a known truth, made from chance that a seed decides.
//!
//! Each muscle has a range on either side. The trainer takes a leg to that side's own range, mixed with the mean of
//! both by `equally_far` (0: each side is steered to 4; 1: both sides are taken equally far), 1.5 degrees more or
//! less. The answer is 4 and a level more for every 6 degrees beyond the range, with an effect of the day (0.4) and a
//! noise of rating (0.45), rounded. One comparison in ten is missing. All of it is judgement; the errors of measuring
//! are those that are published.

use super::*;

use matside::catalogue::{Form, Sides, Stretch};
use matside::insight::measuring::StandardError;

/// A generator that gives the same numbers on every machine (Steele, Lea and Flood 2014, `SplitMix`).
#[derive(Debug, Clone)]
pub(super) struct Chance(u64);

impl Chance {
    pub(super) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(super) const fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// One of a few.
    pub(super) fn one_of<T: Copy, const N: usize>(&mut self, all: [T; N]) -> T {
        let count = u64::try_from(N).expect("a few");
        all[usize::try_from(self.next() % count).expect("one of them")]
    }

    /// From 0 up to 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
    pub(super) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A standard normal deviate (Box and Muller 1958).
    pub(super) fn normal(&mut self) -> f64 {
        let (a, b) = (1.0 - self.unit(), self.unit());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

/// Who goes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum First {
    Left,
    Turns,
}

/// What is true of a client.
#[derive(Debug, Clone, Copy)]
pub(super) struct World {
    /// By how many degrees the left side of the first muscle goes less far.
    pub(super) shorter: f64,
    pub(super) equally_far: f64,
    /// Angles in every so manieth session; none: never.
    pub(super) measured_every: Option<usize>,
    /// How much larger the true error of measuring is than the published one.
    pub(super) error: f64,
    pub(super) rating_noise: f64,
    pub(super) sessions: usize,
    /// The session from which the difference is gone.
    pub(super) gone_at: usize,
    /// How much higher the first side is answered.
    pub(super) first_higher: f64,
    pub(super) first: First,
    /// Degrees that every range gains in a year.
    pub(super) gains: f64,
}

impl World {
    /// A year, twice a week, nothing true of the sides.
    pub(super) const YEAR: Self = Self {
        shorter: 0.0,
        equally_far: 0.0,
        measured_every: Some(4),
        error: 1.0,
        rating_noise: 0.45,
        sessions: 96,
        gone_at: usize::MAX,
        first_higher: 0.0,
        first: First::Turns,
        gains: 0.0,
    };

    /// The client of a seed. Eight muscles are worked, the hamstrings first.
    #[expect(clippy::cast_possible_truncation, clippy::cast_precision_loss, reason = "small numbers")]
    pub(super) fn client(&self, seed: u64) -> Client {
        let mut chance = Chance::new(seed.wrapping_mul(0x2545_f491_4f6c_dd1d));
        let forms = one_muscle_forms(8);
        let errors = forms.iter().map(|form| error_of(*form) * self.error).collect::<Vec<_>>();
        let ranges: Vec<f64> = forms.iter().map(|_| 70.0 + 8.0 * chance.normal()).collect();
        let sessions = (0..self.sessions).map(|number| {
            let on = start() + Days::new((number as u64 * 15) / 4);
            let day = 0.4 * chance.normal();
            let order = match self.first {
                First::Turns if number % 2 == 1 => [Side::Right, Side::Left],
                _ => Side::ALL.try_into().expect("two sides"),
            };
            let mut all = Vec::new();
            for (index, &form) in forms.iter().enumerate() {
                if chance.unit() < 0.1 {
                    continue;
                }
                let gained = self.gains * number as f64 / 96.0;
                let apart = if index == 0 && number < self.gone_at { self.shorter / 2.0 } else { 0.0 };
                let mean = ranges[index] + gained;
                for (place, &side) in order.iter().enumerate() {
                    let range = if side == Side::Left { mean - apart } else { mean + apart };
                    let depth =
                        (1.0 - self.equally_far) * range + self.equally_far * mean + 1.5 * chance.normal();
                    let cold = if place == 0 { self.first_higher } else { 0.0 };
                    let felt = 4.0 + (depth - range) / 6.0 + day + self.rating_noise * chance.normal() + cold;
                    let said = said(side).with(form).level(felt.round().clamp(1.0, 5.0) as i64);
                    let measures = self.measured_every.is_some_and(|every| number % every == 0);
                    let angle = (depth + errors[index] * chance.normal()).round().clamp(-60.0, 200.0) as i64;
                    all.push(if measures { said.angle(angle) } else { said });
                }
            }
            session_on(on, all)
        });
        let sessions: Vec<Session> = sessions.collect();
        client(sessions)
    }
}

/// The day of the first session.
fn start() -> NaiveDate {
    NaiveDate::from_ymd_opt(2025, 1, 6).expect("a day")
}

fn built_in((stretch, form): (&str, &str)) -> (&'static Stretch, &'static Form) {
    let ids = (StretchId::new(stretch).expect("an id"), FormId::new(form).expect("an id"));
    Catalogue::built_in().form(&ids.0, &ids.1).expect("in the catalogue")
}

fn error_of(form: (&str, &str)) -> f64 {
    f64::from(StandardError::of_form(built_in(form).1, None).hundredths()) / 100.0
}

/// The muscle that such a form speaks for.
pub(super) fn muscle_of(form: (&str, &str)) -> Muscle {
    built_in(form).1.targets[0].muscle
}

/// Forms for either side, each speaking for one muscle alone and no two for the same; the hamstrings' test first.
pub(super) fn one_muscle_forms(most: usize) -> Vec<(&'static str, &'static str)> {
    let mut forms = vec![RAISE];
    let mut muscles = vec![HAMSTRINGS];
    for stretch in Catalogue::built_in().stretches() {
        for form in stretch.forms.iter().filter(|form| form.sides == Sides::Each) {
            let mut speaks = form.targets.iter().filter(|target| target.share >= 50);
            let (Some(only), None) = (speaks.next(), speaks.next()) else { continue };
            if forms.len() < most && !muscles.contains(&only.muscle) && form.targets[0].muscle == only.muscle
            {
                muscles.push(only.muscle);
                forms.push((stretch.id.as_str(), form.id.as_str()));
            }
        }
    }
    forms
}
