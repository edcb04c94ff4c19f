//! A plan as lines of text, to be read beside the mat.

use std::fmt;

use chrono::NaiveDate;

use crate::body::{Level, Seconds};
use crate::catalogue::{Catalogue, Method};
use crate::client::{Consent, Trained};
use crate::planner::words as reasons;
use crate::planner::{Omission, Plan, WhyLeftOut};
use crate::strain::words as load_words;
use crate::text::{self, Safe};

use super::{ribbon, words};

/// From so much on, time that is free is said in minutes, and why.
const FREE: Seconds = Seconds::new(60);

/// Column at which the stretch's name begins.
const NAME_AT: usize = 26;

/// Everything that a plan's text says.
#[derive(Debug, Clone, Copy)]
pub struct PlanText<'a> {
    /// The client's name, or what stands for a walk-in.
    pub who: &'a str,
    /// The day.
    pub on: NaiveDate,
    /// What was trained.
    pub trained: &'a Trained,
    /// What the client agreed to.
    pub consent: Consent,
    /// What comes before the first touch, one line each.
    pub first: &'a [String],
    /// The limits in force, one line each.
    pub limits: &'a [String],
    /// The plan itself.
    pub plan: &'a Plan,
    /// Where the names of forms are from.
    pub catalogue: &'a Catalogue,
    /// How wide the text may be.
    pub columns: usize,
}

impl fmt::Display for PlanText<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minutes = text::count(usize::from(self.plan.minutes.get()), "minute");
        writeln!(f, "{}, {minutes}, {}", Safe::from_foreign(self.who), self.on)?;
        self.labelled(f, "trained", &words::trained(self.trained))?;
        for first in self.first {
            self.labelled(f, "first", first)?;
        }
        for limit in self.limits {
            self.labelled(f, "limit", limit)?;
        }
        self.labelled(f, "consent", words::consent(self.consent))?;
        let aim = self.plan.steps.iter().map(|step| step.aim).max().unwrap_or(Level::AIM);
        self.labelled(f, "aim", &format!("{aim} of 5 where nothing else is said; one to five?"))?;
        let [bar, positions] = ribbon::ribbon(self.plan, self.columns - 2);
        writeln!(f, "\n  {bar}\n  {positions}\n")?;
        self.steps(f)?;
        self.left_out(f)
    }
}

impl PlanText<'_> {
    fn steps(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let plan = self.plan;
        if plan.opening > Seconds::ZERO {
            writeln!(f, " {:>5}  ask consent, settle", Seconds::ZERO)?;
        }
        let mut position = None;
        let mut last_why = String::new();
        let may_get_up = plan.may_get_up();
        for step in &plan.steps {
            if position != Some(step.position) {
                writeln!(f, "        {}", step.position.plain_name())?;
                position = Some(step.position);
            }
            let name = words::stretch_and_form(self.catalogue, &step.stretch, &step.form);
            let (side, dose) = (words::side(step.side), words::short_dose(step.dose));
            let start = format!(" {:>5}  {side:<5}  {dose}", step.start);
            for (number, line) in
                text::wrap(&Safe::from_foreign(&name), self.columns - NAME_AT).iter().enumerate()
            {
                writeln!(f, "{:NAME_AT$}{line}", if number == 0 { &start } else { "" })?;
            }
            let why = reasons::why(&step.why);
            if why != last_why {
                self.indented(f, &why)?;
                last_why = why;
            }
            if let Some(kilograms) = step.load.as_ref().and_then(load_words::kilograms_words) {
                self.indented(f, &kilograms)?;
            }
            if Some(step.end) == may_get_up {
                writeln!(
                    f,
                    " {:>5}  the client may get up here; what follows is for the minutes left",
                    step.end
                )?;
            }
        }
        if plan.massage > Seconds::ZERO {
            let from = plan.total.saturating_sub(plan.massage);
            writeln!(f, " {from:>5}  massage to finish, {} s", plan.massage.get())?;
        }
        if plan.steps.iter().any(|step| step.dose.method() == Method::ContractRelax) {
            writeln!(f, "{:NAME_AT$}3 x 3+7 s: three times push 3 s, stretch 7 s", "")?;
        }
        write!(f, " {:>5}  client stands up", plan.total)?;
        match plan.free() {
            Seconds::ZERO => writeln!(f),
            free if free < FREE => writeln!(f, ", {} s in hand", free.get()),
            free => writeln!(f, ", {free} min free: {}", plan.why_free()),
        }
    }

    fn left_out(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f)?;
        if self.plan.is_proven() {
            writeln!(f, "No better plan exists for these minutes (proven).")?;
        } else {
            writeln!(f, "Best so far: at most {} % better is possible.", self.gap_percent())?;
        }
        let told: Vec<&Omission> = self
            .plan
            .left_out
            .iter()
            .filter(|omission| {
                !matches!(omission.reason, WhyLeftOut::Time(_) | WhyLeftOut::NotNeeded | WhyLeftOut::Enough)
            })
            .collect();
        if !told.is_empty() {
            writeln!(f, "\nLeft out")?;
        }
        for omission in told {
            let line = format!("{}: {}", omission.name, omission.detail);
            for (number, line) in text::wrap(&Safe::from_foreign(&line), self.columns - 4).iter().enumerate()
            {
                writeln!(f, "{}{line}", if number == 0 { "  " } else { "    " })?;
            }
        }
        let late: Vec<&str> = self
            .plan
            .left_out
            .iter()
            .filter(|omission| matches!(omission.reason, WhyLeftOut::Time(_)))
            .map(|omission| omission.name.as_str())
            .collect();
        if !late.is_empty() {
            writeln!(f, "\nNot in these minutes")?;
            for line in text::wrap(&Safe::from_foreign(text::list(&late)), self.columns - 2) {
                writeln!(f, "  {line}")?;
            }
        }
        Ok(())
    }

    /// The gap to the bound in per cent, rounded up to a tenth.
    fn gap_percent(&self) -> String {
        let (value, bound) = (self.plan.value.max(1), self.plan.bound.max(1));
        let tenths = (bound - value).max(0).saturating_mul(1000).div_euclid(value) + 1;
        format!("{}.{}", tenths / 10, tenths % 10)
    }

    fn labelled(&self, f: &mut fmt::Formatter<'_>, label: &str, line: &str) -> fmt::Result {
        for (number, line) in text::wrap(&Safe::from_foreign(line), self.columns - 10).iter().enumerate() {
            writeln!(f, "{:<9} {line}", if number == 0 { label } else { "" })?;
        }
        Ok(())
    }

    fn indented(&self, f: &mut fmt::Formatter<'_>, line: &str) -> fmt::Result {
        for line in text::wrap(&Safe::from_foreign(line), self.columns - NAME_AT) {
            writeln!(f, "{:NAME_AT$}{line}", "")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::{Effort, Minutes, Muscle, Side};
    use crate::catalogue::{ContractRelax, FormId, Position, StretchId};
    use crate::planner::{Dose, Step, Why};

    fn step(start: u32, side: Option<Side>, position: Position, dose: Dose) -> Step {
        let setup = Seconds::new(5);
        Step {
            start: Seconds::new(start),
            end: Seconds::new(start) + setup + dose.length(),
            stretch: StretchId::new("long-reach").unwrap(),
            name: "Long reach".into(),
            form: FormId::new("low").unwrap(),
            side,
            load: None,
            position,
            setup,
            dose,
            aim: Level::AIM,
            motions: Vec::new(),
            other_side: Vec::new(),
            muscles: vec![Muscle::Hamstrings],
            why: vec![Why::Pinned],
        }
    }

    fn sample() -> Plan {
        let hold = Dose::Hold(Seconds::new(30));
        let push = ContractRelax { cycles: 3, push: Seconds::new(3), stretch: Seconds::new(7) };
        Plan {
            minutes: Minutes::new(3).unwrap(),
            budget: Seconds::new(180),
            opening: Seconds::new(15),
            steps: vec![
                step(25, Some(Side::Left), Position::Supine, hold),
                step(65, Some(Side::Right), Position::Supine, Dose::ContractRelax(push)),
                step(115, None, Position::Seated, hold),
            ],
            massage: Seconds::new(20),
            total: Seconds::new(170),
            value: 1_000_000,
            bound: 1_000_000,
            left_out: vec![
                Omission {
                    stretch: StretchId::new("arch-back").unwrap(),
                    name: "Arch back".into(),
                    reason: WhyLeftOut::Caution,
                    detail: "lower back pain: no extension".into(),
                },
                Omission {
                    stretch: StretchId::new("calf-lean").unwrap(),
                    name: "Calf lean".into(),
                    reason: WhyLeftOut::Time(None),
                    detail: String::new(),
                },
            ],
        }
    }

    fn said(plan: &Plan) -> String {
        let trained = Trained::from([(Muscle::Hamstrings, Effort::new(3).unwrap())]);
        PlanText {
            who: "林 \u{1b}美咲",
            on: NaiveDate::from_ymd_opt(2026, 11, 25).unwrap(),
            trained: &trained,
            consent: Consent::HandsOn,
            first: &["screen: not screened yet".to_owned()],
            limits: &["lower back pain: no extension".to_owned()],
            plan,
            catalogue: &Catalogue::default(),
            columns: text::USUAL_COLUMNS,
        }
        .to_string()
    }

    #[test]
    fn a_plan_reads_from_top_to_bottom_and_fits_the_page() {
        let text = said(&sample());
        assert!(text.lines().all(|line| text::columns(line) <= text::USUAL_COLUMNS), "{text}");
        insta::assert_snapshot!(text);
    }

    #[test]
    fn an_unproven_plan_says_how_far_off_it_can_be() {
        let mut plan = sample();
        plan.bound = 1_004_200;
        assert!(said(&plan).contains("at most 0.5 % better"), "{}", said(&plan));
    }

    #[test]
    fn the_ribbon_is_to_scale_at_any_width() {
        let plan = sample();
        for width in [0, 1, 7, 76, 300] {
            let [bar, _] = ribbon::ribbon(&plan, width);
            assert!(bar.chars().count() <= width);
        }
        let [bar, positions] = ribbon::ribbon(&plan, 36);
        // Five seconds a column: nothing but '.' before the first hold at 0:30, six columns for 30 s.
        assert_eq!(bar, "......<<<<<<..>>>>>>....======~~~~");
        assert_eq!(positions, "     on the back       seated");
    }

    #[test]
    fn an_empty_plan_is_no_reason_to_stumble() {
        let mut plan = sample();
        plan.steps.clear();
        plan.budget = Seconds::ZERO;
        plan.total = Seconds::ZERO;
        plan.massage = Seconds::ZERO;
        assert!(said(&plan).contains("client stands up"));
    }
}
