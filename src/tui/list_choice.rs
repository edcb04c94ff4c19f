//! What the keys of a list do to its choice, the same in every list.

use super::keys::Action;

/// Rows of a page.
const PAGE: usize = 10;

/// The number of the row that is chosen, while a key is done.
#[derive(Debug)]
pub struct ListChoice<'a>(pub &'a mut usize);

impl ListChoice<'_> {
    /// Does what a key means to a list of `count` rows; false if it means nothing there.
    pub fn act(self, action: Action, count: usize) -> bool {
        let last = count.saturating_sub(1);
        *self.0 = match action {
            Action::Up => self.0.saturating_sub(1),
            Action::Down => self.0.saturating_add(1),
            Action::PageUp => self.0.saturating_sub(PAGE),
            Action::PageDown => self.0.saturating_add(PAGE),
            Action::First => 0,
            Action::Last => last,
            Action::Pick(index) => index,
            _ => return false,
        }
        .min(last);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_choice_stays_in_its_list() {
        for (action, from, count, to) in [
            (Action::Up, 0, 3, 0),
            (Action::Down, 2, 3, 2),
            (Action::Down, 0, 0, 0),
            (Action::PageDown, 1, 30, 11),
            (Action::PageUp, 5, 30, 0),
            (Action::Last, 0, 30, 29),
            (Action::First, 29, 30, 0),
            (Action::Pick(7), 0, 5, 4),
        ] {
            let mut at = from;
            assert!(ListChoice(&mut at).act(action, count));
            assert_eq!(at, to, "{action:?} from {from} of {count}");
        }
        assert!(!ListChoice(&mut 0).act(Action::Choose, 3));
    }
}
