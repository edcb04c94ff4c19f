//! What keys do on the muscles, the steps, what was left out and the clock.

use std::sync::Arc;

use chrono::{NaiveTime, Timelike};

use crate::body::{Effort, Minutes, Muscle, Seconds};
use crate::catalogue::{Dose, FormId, Helper, Method, StretchId};
use crate::client::Consent;
use crate::tui::go::Go;
use crate::tui::keys::Action;
use crate::tui::list_choice::ListChoice;
use crate::tui::shared::{Context, Marked};
use crate::tui::theme::Tone;

use super::left_out::may_be_put_in;
use super::muscles::{Item, next_effort};
use super::{Pane, State};

impl State {
    /// Plans for more minutes or fewer, or for so many.
    pub(super) fn set_minutes(&mut self, action: Action, context: &mut Context<'_>) {
        let now = i64::from(self.choice.minutes);
        let wanted = match action {
            Action::MinutesLeft(minutes) => minutes.into(),
            Action::More => now + 1,
            _ => now - 1,
        };
        match Minutes::new(wanted) {
            Ok(minutes) => self.change(context, |state| state.choice.minutes = minutes),
            Err(refused) => context.shared.say(Tone::Caution, refused.to_string()),
        }
    }

    pub(super) fn act_muscles(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        let count = self.picker.items().len();
        match action {
            Action::Type(letter) => {
                self.picker.filter.push(letter);
                self.picker.typed();
            }
            Action::Erase => {
                self.picker.filter.erase();
                self.picker.typed();
            }
            Action::EraseWord | Action::EraseLine => {
                self.picker.filter.edit(action);
                self.picker.typed();
            }
            Action::Pick(_) if !self.picker.browsing => {
                self.pane = Pane::Steps;
                return self.act_steps(action, context);
            }
            Action::Down if !self.picker.browsing => self.pane = Pane::Steps,
            action if ListChoice(&mut self.picker.chosen).act(action, count) => {}
            // A name of two words is typed with the key that otherwise marks.
            Action::Toggle if self.picker.goes_on_with_a_space() => {
                self.picker.filter.push(' ');
                self.picker.typed();
            }
            Action::Toggle => {
                if let Some(item) = self.picker.item() {
                    let effort = next_effort(item.effort(&self.choice.trained));
                    self.change(context, |state| state.mark(item.muscles(), effort));
                }
            }
            Action::Choose => match self.picker.item() {
                Some(item) => {
                    let effort = item.effort(&self.choice.trained);
                    let effort = if effort.is_some() { None } else { next_effort(None) };
                    self.change(context, |state| state.mark(item.muscles(), effort));
                    self.picker.close();
                }
                None if self.picker.browsing => {
                    context.shared.say(Tone::Caution, "no muscle of that name; Esc clears it");
                }
                None => return self.ask_consent(context),
            },
            Action::Digit(digit) => self.rate(digit, context),
            Action::Repeat => self.repeat(context),
            Action::NextPart | Action::PreviousPart => {
                self.picker.close();
                self.pane = Pane::Steps;
            }
            Action::Back if self.picker.browsing => self.picker.close(),
            Action::Back => return self.leave(context),
            _ => {}
        }
        Go::Stay
    }

    /// Back to the day; whoever comes back finds the plan as it was.
    fn leave(&self, context: &mut Context<'_>) -> Go {
        if self.resumed.is_none() {
            let marked = Marked { on: context.today(), chosen: self.choice.clone() };
            context.shared.marked.insert(self.id.clone(), marked);
        }
        Go::Back
    }

    /// The same muscles as last time.
    fn repeat(&mut self, context: &mut Context<'_>) {
        let last = self.client.as_ref().and_then(|client| client.sessions.last());
        match last.map(|last| last.trained.clone()) {
            Some(trained) => self.change(context, |state| state.choice.trained = trained),
            None => context.shared.say(Tone::Dim, "there was no session yet"),
        }
    }

    fn mark(&mut self, muscles: Vec<Muscle>, effort: Option<Effort>) {
        self.picker.mark(&mut self.choice.trained, muscles, effort);
    }

    fn rate(&mut self, digit: u8, context: &mut Context<'_>) {
        let muscles = self.picker.item().map_or_else(|| self.picker.last.clone(), Item::muscles);
        let effort = if digit == 0 { Ok(None) } else { Effort::new(digit.into()).map(Some) };
        match effort {
            Ok(_) if muscles.is_empty() => {
                context.shared.say(Tone::Dim, "type a muscle first, then say how hard");
            }
            Ok(effort) => {
                self.change(context, |state| state.mark(muscles, effort));
                // What was typed has done its work; another digit mends the same mark.
                if !self.picker.filter.is_empty() {
                    self.picker.close();
                }
            }
            Err(error) => context.shared.say(Tone::Caution, error.to_string()),
        }
    }

    pub(super) fn act_steps(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        let count = self.plan().map_or(0, |plan| plan.steps.len());
        let stretch = self
            .plan()
            .and_then(|plan| plan.steps.get(self.step))
            .map(|step| (step.stretch.clone(), step.form.clone()));
        match (action, stretch) {
            (action, _) if ListChoice(&mut self.step).act(action, count) => {}
            (Action::Keep, Some((stretch, _))) => self.pin(stretch, context),
            (Action::TakeOff, Some((stretch, _))) => self.change(context, |state| {
                let wishes = &mut state.choice.wishes;
                wishes.pinned.retain(|pinned| *pinned != stretch);
                wishes.doses.remove(&stretch);
                wishes.skipped.push(stretch);
            }),
            (Action::Version, Some((stretch, form))) => self.swap_form(&stretch, &form, context),
            (Action::Longer | Action::Shorter, Some((stretch, form))) => {
                self.hold(&stretch, &form, action == Action::Longer, context);
            }
            (Action::LeftOut, _) => self.pane = Pane::LeftOut { finding: false },
            (Action::Repeat, _) => self.repeat(context),
            (Action::NextPart | Action::PreviousPart, _) => self.pane = Pane::Trained,
            (Action::Back, _) => return self.leave(context),
            (Action::Begin | Action::Choose, _) => return self.ask_consent(context),
            _ => {}
        }
        Go::Stay
    }

    fn pin(&mut self, stretch: StretchId, context: &mut Context<'_>) {
        self.change(context, |state| {
            let wishes = &mut state.choice.wishes;
            wishes.skipped.retain(|skipped| *skipped != stretch);
            if wishes.pinned.contains(&stretch) {
                wishes.pinned.retain(|pinned| *pinned != stretch);
                wishes.doses.remove(&stretch);
            } else {
                wishes.pinned.push(stretch);
            }
        });
    }

    /// The next form of a stretch that the cautions and the consent allow.
    fn swap_form(&mut self, stretch: &StretchId, form: &FormId, context: &mut Context<'_>) {
        let Some(restrictions) = self.restrictions.clone() else { return };
        let catalogue = Arc::clone(&context.shared.catalogue);
        let Some(found) = catalogue.stretch(stretch) else { return };
        let allowed: Vec<&FormId> = found
            .forms
            .iter()
            .filter(|form| self.consent == Consent::HandsOn || form.helper == Helper::Client)
            .filter(|form| form.workings().iter().any(|side| restrictions.allows(found, form, *side)))
            .map(|form| &form.id)
            .collect();
        let at = allowed.iter().position(|id| *id == form);
        let next = at.and_then(|at| allowed.get((at + 1) % allowed.len())).copied();
        match next {
            Some(next) if next != form => {
                let (stretch, next) = (stretch.clone(), next.clone());
                // Another form of the stretch, not another stretch in its place.
                self.change(context, |state| {
                    let wishes = &mut state.choice.wishes;
                    wishes.pin(&stretch);
                    wishes.doses.remove(&stretch);
                    wishes.forms.insert(stretch, next);
                });
            }
            _ => context.shared.say(Tone::Dim, "no other form of this stretch fits this client"),
        }
    }

    /// The next longer or shorter dose of a stretch; what the trainer sets stays in the plan, in its form.
    fn hold(&mut self, stretch: &StretchId, form: &FormId, longer: bool, context: &mut Context<'_>) {
        let catalogue = Arc::clone(&context.shared.catalogue);
        let Some((whole, found)) = catalogue.form(stretch, form) else { return };
        let Some(step) = self.plan().and_then(|plan| plan.steps.get(self.step)) else { return };
        let now = step.dose.held();
        let admitted = |held: &Seconds| {
            let limits = self.restrictions.as_ref();
            let way = limits.map(|limits| limits.permit(whole, found, step.side, Method::Static));
            way.is_some_and(|way| way.is_ok_and(|way| way.admits(Dose::Hold(*held))))
        };
        let holds = found.holds.iter().copied().filter(admitted);
        let next = if longer {
            holds.filter(|held| *held > now).min()
        } else {
            holds.filter(|held| *held < now).max()
        };
        let Some(next) = next else {
            let words =
                if longer { "no longer hold fits this form" } else { "no shorter hold fits this form" };
            context.shared.say(Tone::Dim, words);
            return;
        };
        let (stretch, form) = (stretch.clone(), form.clone());
        self.change(context, |state| {
            let wishes = &mut state.choice.wishes;
            wishes.pin(&stretch);
            wishes.forms.insert(stretch.clone(), form);
            wishes.doses.insert(stretch, next);
        });
    }

    pub(super) fn act_left_out(&mut self, action: Action, finding: bool, context: &mut Context<'_>) -> Go {
        let count = self.omitted().len();
        match action {
            Action::Type(_) | Action::Erase | Action::EraseWord | Action::EraseLine => {
                self.filter.edit(action);
                self.omitted = 0;
            }
            action if ListChoice(&mut self.omitted).act(action, count) => {}
            Action::Find => self.pane = Pane::LeftOut { finding: true },
            Action::Choose => {
                let Some(left) = self.omitted().get(self.omitted).map(|left| (*left).clone()) else {
                    return Go::Stay;
                };
                if may_be_put_in(&left.reason) {
                    self.filter.clear();
                    self.pin(left.stretch, context);
                    self.pane = Pane::Steps;
                } else {
                    context.shared.say(Tone::Caution, format!("{} stays out: {}", left.name, left.detail));
                }
            }
            Action::Back if !self.filter.is_empty() => self.filter.clear(),
            Action::Back | Action::NextPart | Action::PreviousPart if finding => {
                self.pane = Pane::LeftOut { finding: false };
            }
            Action::Back => self.pane = Pane::Steps,
            _ => {}
        }
        Go::Stay
    }

    pub(super) fn act_clock(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        let Pane::EndAt(field) = &mut self.pane else { return Go::Stay };
        match action {
            Action::Type(letter) if !letter.is_ascii_digit() && letter != ':' => {
                context.shared.say(Tone::Dim, "a time of day, such as 18:55, 1855 or 55");
            }
            Action::Type(_) | Action::Erase | Action::EraseWord | Action::EraseLine => field.edit(action),
            Action::Choose => {
                let typed = field.text().to_owned();
                match minutes_until(&typed, context.now.wall.time()) {
                    Ok(minutes) => {
                        self.pane = Pane::Trained;
                        self.change(context, |state| state.choice.minutes = minutes);
                        let until = self.time_words(context.now);
                        context.shared.say(Tone::Good, format!("finish by the clock: {until}"));
                    }
                    Err(why) => context.shared.say(Tone::Caution, why),
                }
            }
            Action::Back => self.pane = Pane::Trained,
            _ => {}
        }
        Go::Stay
    }
}

/// Minutes from now, to the nearest, to a clock time such as `18:55`, `1855` or, in this hour or the next, `55`.
fn minutes_until(typed: &str, now: NaiveTime) -> Result<Minutes, String> {
    let digits: String = typed.chars().filter(char::is_ascii_digit).collect();
    let wrong = || format!("`{typed}` is no time of day; write it like 18:55, 1855 or 55");
    let number: u32 = digits.parse().map_err(|_none| wrong())?;
    let (hour, minute) = match digits.len() {
        1 | 2 if number <= now.minute() => ((now.hour() + 1) % 24, number),
        1 | 2 => (now.hour(), number),
        3 | 4 => (number / 100, number % 100),
        _ => return Err(wrong()),
    };
    let time = NaiveTime::from_hms_opt(hour, minute, 0).ok_or_else(wrong)?;
    // Past midnight is the next day, where that is near.
    let until = time.signed_duration_since(now).num_seconds();
    let until = if until < -12 * 3600 { until + 24 * 3600 } else { until };
    let clock = time.format("%H:%M");
    if until < 0 {
        return Err(format!("{clock} is past"));
    }
    Minutes::new((until + 30) / 60).map_err(|error| format!("until {clock} {error}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_by_the_clock() {
        let now = NaiveTime::from_hms_opt(18, 44, 20).expect("a time");
        let minutes = |typed| minutes_until(typed, now).map(Minutes::get);
        assert_eq!(minutes("18:55"), Ok(11), "the block ends nearer to that minute than to the one before");
        assert_eq!((minutes("1850"), minutes("50"), minutes("02")), (Ok(6), Ok(6), Ok(18)));
        assert_eq!(minutes("18:40"), Err("18:40 is past".to_owned()));
        assert!(minutes("20:40").is_err_and(|why| why.contains("minutes")));
        assert!(minutes("").is_err() && minutes("18:75").is_err() && minutes("18555").is_err());
        let late = NaiveTime::from_hms_opt(23, 55, 0).expect("a time");
        assert_eq!(minutes_until("5", late).map(Minutes::get), Ok(10));
        assert_eq!(minutes_until("0005", late).map(Minutes::get), Ok(10));
    }
}
