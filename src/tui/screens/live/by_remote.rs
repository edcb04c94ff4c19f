//! The running block by the buttons of a remote.

use crate::session::{Control as Press, Pause, Urgency};
use crate::tui::event::Now;
use crate::tui::go::Go;
use crate::tui::keys::Action;
use crate::tui::remote::{Ask, Button, Phase};
use crate::tui::shared::Context;
use crate::tui::spoken::{self, cues::Utterance};
use crate::tui::text;
use crate::tui::theme::Tone;

use super::{LiveSheet, State};

impl State {
    /// What the block is at, as far as a button minds.
    fn remote_phase(&self, now: Now) -> Phase {
        let phase = self.live.snapshot(now.moment);
        match (self.sheet, phase.paused) {
            (LiveSheet::Less(_), _) => Phase::Sheet,
            (LiveSheet::Stop(_), _) | (_, Some(Pause::Stop)) => Phase::Stop,
            (_, Some(Pause::Pain)) => Phase::Pain,
            (_, Some(_)) => Phase::Paused,
            _ if phase.stage.is_work() => Phase::Work,
            _ if phase.is_asked && phase.rates_last => Phase::Asked(phase.rated_number),
            _ => Phase::Ready,
        }
    }

    /// A button was pressed.
    pub(super) fn press_button(&mut self, button: Button, context: &mut Context<'_>) -> Go {
        let phase = self.remote_phase(context.now);
        let asks = self.remote.press(button, phase, context.now.moment);
        self.carry_out(asks, context)
    }

    /// Time passed since a button was pressed.
    pub(super) fn wake_remote(&mut self, context: &mut Context<'_>) -> Go {
        let phase = self.remote_phase(context.now);
        let asks = self.remote.wake(phase, context.now.moment);
        self.carry_out(asks, context)
    }

    fn carry_out(&mut self, asks: Vec<Ask>, context: &mut Context<'_>) -> Go {
        for ask in asks {
            let next = self.carry_one_out(&ask, context);
            if next != Go::Stay {
                return next;
            }
        }
        self.review_if_over(context)
    }

    fn carry_one_out(&mut self, ask: &Ask, context: &mut Context<'_>) -> Go {
        match *ask {
            Ask::Say(words) => self.say_to_button(words, words, Urgency::Answer, context),
            Ask::Number(Some(level)) => {
                let spoken = text::capitalised(&format!("{}.", spoken::number(level.get().into())));
                let shown = format!("{level}: noted when nothing is pressed for two seconds");
                self.say_to_button(&shown, &spoken, Urgency::Question, context);
            }
            Ask::Number(None) => self.say_to_button("No number.", "No number.", Urgency::Question, context),
            Ask::Tell => self.tell_button(context),
            Ask::Pause => return self.press(Press::Pause, context),
            Ask::EaseOut => {
                if self.live.paused().is_none() {
                    self.press(Press::Pause, context);
                }
                let shown = "Ease out. Nothing is noted. On: go on. The same once more: pain.";
                self.say_to_button(shown, "Ease out.", Urgency::Alarm, context);
            }
            Ask::Resume => {
                self.sheet = LiveSheet::Nothing;
                return self.press(Press::Resume, context);
            }
            Ask::Next => return self.press(Press::Next, context),
            Ask::Pain => return self.act(Action::Pain, context),
            Ask::Stop => return self.act(Action::Stop, context),
            Ask::Undo => return self.press(Press::Undo, context),
            Ask::Note(step, level) => {
                let now = context.now.moment;
                self.aloud.keep_to_confirm(level, &self.live.snapshot(now), (now, self.saved_word()));
                let next = self.press(Press::LevelFor(step, level), context);
                self.aloud.confirm(self.outbox.is_idle(), &self.live, context);
                return next;
            }
        }
        Go::Stay
    }

    /// Says how it stands: what is made ready, the seconds, or what is left of the block.
    fn tell_button(&mut self, context: &mut Context<'_>) {
        let phase = self.live.snapshot(context.now.moment);
        let words = match (phase.paused, phase.step) {
            (None, Some(step)) if !phase.stage.is_work() => {
                let side = text::capitalised(crate::tui::words::side_words(step.side));
                format!("{side}. {}.", step.name)
            }
            (None, _) => text::capitalised(&format!("{} left.", spoken::length(phase.left))),
            (Some(_), _) => text::capitalised(&format!("{} left.", spoken::length(phase.remaining))),
        };
        self.say_to_button(&words, &words, Urgency::Answer, context);
    }

    fn say_to_button(&mut self, shown: &str, said: &str, urgency: Urgency, context: &mut Context<'_>) {
        context.shared.say(Tone::Strong, shown);
        self.aloud.speak(Utterance { urgency, ..Utterance::answer(said) }, context);
    }
}
