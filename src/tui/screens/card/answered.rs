//! What follows from the answer whether a new client is one of that name who is there.

use crate::client::Client;
use crate::tui::effect::Effect;
use crate::tui::keys::Action;
use crate::tui::shared::Context;
use crate::tui::theme::Tone;

use super::State;
use super::namesake::{NamesakeAnswer, Namesakes};

impl State {
    /// A key while it is asked whether it is somebody of that name.
    pub(super) fn act_namesake(&mut self, action: Action, context: &mut Context<'_>) {
        match self.namesakes.answer(action) {
            NamesakeAnswer::Same(client) => self.go_on_with(&client, context),
            NamesakeAnswer::Another => match self.profile(&context.shared.catalogue, context.today()) {
                Ok(profile) => self.save(profile, true, context),
                Err(why) => context.shared.say(Tone::Caution, why),
            },
            NamesakeAnswer::Back => {
                (self.namesakes, self.at) = (Namesakes::default(), 0);
                context.shared.say(Tone::Text, "not saved: give the name as it tells the two apart");
            }
            NamesakeAnswer::None => {
                context
                    .shared
                    .say(Tone::Text, "the same person: c; another person: Ctrl-N; nothing is saved yet");
            }
            NamesakeAnswer::Moved => {}
        }
    }

    /// The card of the client who is there, with what was typed put onto it and not saved yet.
    fn go_on_with(&mut self, client: &Client, context: &mut Context<'_>) {
        let typed = self.card.clone();
        (self.namesakes, self.id) = (Namesakes::default(), Some(client.profile.id.clone()));
        self.past.clear();
        self.fill(client, &context.shared.catalogue);
        self.change(|card| card.take_in(typed));
        // The store tells this card's changes from those of others by what it handed out last.
        context.ask(Effect::Load(client.profile.id.clone()));
        context.shared.say(Tone::Text, "the card that was there, with what you typed: Ctrl-S saves it");
    }
}
