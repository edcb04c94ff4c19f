//! Where everything stands while a block runs: fixed places at a size, so that nothing jumps.

use crate::tui::canvas::Rect;
use crate::tui::widgets::digits::DigitCut;
use crate::tui::widgets::letters::LetterSize;

/// How much room there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Room {
    /// From 40 by 12.
    Low,
    /// From 80 by 24.
    Plain,
    /// From 120 by 40.
    Wide,
    /// From 200 by 60.
    Huge,
}

/// The places of the running block.
#[derive(Debug, Clone, Copy)]
pub(super) struct Places {
    pub(super) room: Room,
    /// Columns of the band at the edge of the side that is worked.
    pub(super) edge: u16,
    /// Where, how far, and when it ends.
    pub(super) title: Rect,
    /// The caution, where there is room for it.
    pub(super) caution: Option<Rect>,
    /// Phase and side.
    pub(super) words: Rect,
    /// What is not saved, and what the consent leaves out.
    pub(super) status: Option<Rect>,
    /// The stretch under way, enlarged.
    pub(super) band: Rect,
    /// What the answers are asked about.
    pub(super) asked: Rect,
    /// The number that matters now.
    pub(super) number: Rect,
    /// The answers in its place, with the mark of the aim below.
    pub(super) answers: Rect,
    /// The picture of the stretch.
    pub(super) picture: Option<Rect>,
    /// The picture of the trainer's own stance, in the number's place while there is none.
    pub(super) trainer: Option<Rect>,
    /// What is said, and where hands and feet go.
    pub(super) cues: Rect,
    /// What has just happened; it lies over the end of the cues where there is no row of its own.
    pub(super) notice: Rect,
    /// The whole block.
    pub(super) ribbon: Rect,
    /// One to five, and what comes next.
    pub(super) last: Option<Rect>,
}

impl Places {
    /// The places in an area that leaves nothing out but the row of keys.
    pub(super) fn of(area: Rect) -> Self {
        let room = match (area.width, area.height) {
            (190.., 58..) => Room::Huge,
            (112.., 38..) => Room::Wide,
            (76.., 23..) => Room::Plain,
            _ => Room::Low,
        };
        match room {
            Room::Low => Self::low(area),
            _ => Self::tall(area, room),
        }
    }

    fn low(area: Rect) -> Self {
        let inner = Rect { x: area.x + 3, width: area.width.saturating_sub(6), ..area };
        let row = |y: u16, height: u16| {
            let height = height.min(area.height.saturating_sub(y));
            Rect { y: area.y + y.min(area.height), height, ..inner }
        };
        // A caution has a row from 14 rows on.
        let down = u16::from(area.height >= 13);
        let has_last = area.height >= 15;
        let foot = area.height.saturating_sub(1 + u16::from(has_last));
        let cues = row(9 + down, foot.saturating_sub(9 + down));
        Self {
            room: Room::Low,
            edge: 2,
            title: row(0, 1),
            caution: (down > 0).then(|| row(1, 1)),
            words: row(1 + down, 3),
            status: None,
            band: row(4 + down, 1),
            asked: row(8 + down, 1),
            number: row(5 + down, 4),
            answers: row(5 + down, 3),
            picture: None,
            trainer: None,
            cues,
            notice: Rect {
                y: cues.bottom().saturating_sub(1).max(cues.y),
                height: cues.height.min(1),
                ..cues
            },
            ribbon: row(foot, 1),
            last: has_last.then(|| row(foot + 1, 1)),
        }
    }

    fn tall(area: Rect, room: Room) -> Self {
        let (margin, edge) = match room {
            Room::Huge => (8, 5),
            Room::Wide => (4, 3),
            _ => (4, 2),
        };
        let inner = Rect { x: area.x + margin, width: area.width - 2 * margin, ..area };
        let row = |y: u16, height: u16| Rect { y: area.y + y, height, ..inner };
        let high = area.height;
        // From the top: words, status, band, asked, number, answers; from the bottom: cues, ribbon, last.
        let (words, status, band, asked, number, answers) = match room {
            Room::Huge => ((4, 10), 15, 17, 19, (20, 20), (22, 13)),
            Room::Wide => ((3, 5), 9, 10, 12, (13, 12), (15, 9)),
            _ => ((2, 5), 7, 8, 9, (10, 6), (10, 6)),
        };
        // A plain screen has the marks of the ribbon as soon as there are three rows more.
        let lanes = if room == Room::Plain && high < 26 { 2 } else { 4 };
        let (last, ribbon, cue_rows, gap) = match room {
            Room::Huge => (high - 3, high - 9, 5, 3),
            Room::Wide => (high - 2, high - 7, 5, 0),
            _ => (high - 1, high - 1 - lanes, if high >= 28 { 5 } else { 4 }, 0),
        };
        let cues = row(ribbon - cue_rows - gap, cue_rows);
        let wide = inner.width * 5 / 12;
        let above = if room == Room::Plain { 9 } else { asked };
        let picture = Rect {
            x: inner.right() - wide,
            width: wide,
            y: area.y + above,
            height: (cues.y - area.y).saturating_sub(above + u16::from(room > Room::Plain)),
        };
        let notice = if gap > 0 { row(ribbon - gap + 1, 1) } else { row(ribbon - 1, 1) };
        Self {
            room,
            edge,
            title: row(0, 1),
            caution: Some(row(1, 1)),
            words: row(words.0, words.1),
            status: Some(row(status, 1)),
            band: row(band, 1),
            asked: Rect { width: inner.width - wide - 1, ..row(asked, 1) },
            number: row(number.0, number.1),
            answers: row(answers.0, answers.1),
            picture: Some(picture),
            trainer: match room {
                Room::Huge => Some(Rect { width: 48, ..row(number.0, number.1) }),
                Room::Wide => Some(Rect { width: 30, ..row(number.0, number.1) }),
                _ => None,
            },
            cues,
            notice,
            ribbon: row(ribbon, lanes),
            last: Some(row(last, 1)),
        }
    }

    /// The rows between the band and the ribbon, where something is to be chosen.
    pub(super) fn choices(&self) -> Rect {
        let y = self.band.bottom() + u16::from(self.room > Room::Low);
        Rect { y, height: self.ribbon.y.saturating_sub(y), ..self.band }
    }

    /// How the letters of phase and side are drawn, with the columns between them.
    pub(super) const fn letters(&self) -> (LetterSize, u16) {
        match self.room {
            Room::Low => (LetterSize::Low, 1),
            Room::Huge => (LetterSize::Double, 4),
            Room::Wide | Room::Plain => (LetterSize::Tall, 2),
        }
    }

    /// How the number is cut; three digits are narrower where there is little room.
    pub(super) const fn number_cut(&self, digits: usize) -> DigitCut {
        match self.room {
            Room::Low if digits > 2 => DigitCut { columns: 4, rows: 4, stroke: 1, gap: 1 },
            Room::Low => DigitCut { columns: 5, rows: 4, stroke: 2, gap: 2 },
            Room::Plain => DigitCut { columns: 10, rows: 6, stroke: 3, gap: 3 },
            Room::Wide if digits > 2 => DigitCut { columns: 16, rows: 12, stroke: 4, gap: 3 },
            Room::Wide => DigitCut { columns: 19, rows: 12, stroke: 5, gap: 4 },
            Room::Huge if digits > 2 => DigitCut { columns: 28, rows: 20, stroke: 7, gap: 6 },
            Room::Huge => DigitCut { columns: 32, rows: 20, stroke: 8, gap: 8 },
        }
    }

    /// How the answers are cut.
    pub(super) const fn answer_cut(&self) -> DigitCut {
        match self.room {
            Room::Low => DigitCut { columns: 3, rows: 3, stroke: 1, gap: 1 },
            Room::Plain => DigitCut { columns: 6, rows: 5, stroke: 2, gap: 3 },
            Room::Wide => DigitCut { columns: 10, rows: 8, stroke: 3, gap: 3 },
            Room::Huge => DigitCut { columns: 18, rows: 12, stroke: 5, gap: 3 },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What must never lie over one another.
    fn apart(places: &Places) -> Vec<Rect> {
        let mut all =
            vec![places.title, places.words, places.band, places.number, places.cues, places.ribbon];
        all.extend(places.caution);
        all.extend(places.status);
        all.extend(places.last);
        all
    }

    #[test]
    fn no_place_lies_over_another_or_outside_in_any_size() {
        for width in 40..=220 {
            for height in 11..=70 {
                let area = Rect::new(0, 0, width, height);
                let places = Places::of(area);
                let all = apart(&places);
                for (index, one) in all.iter().enumerate() {
                    assert_eq!(one.intersection(area), *one, "{width}x{height}: {places:?}");
                    assert!(
                        all[index + 1..].iter().all(|other| !one.intersects(*other)),
                        "{width}x{height}: {places:?}"
                    );
                }
                if let (Some(picture), Some(trainer)) = (places.picture, places.trainer) {
                    assert!(!picture.intersects(trainer) && !trainer.intersects(places.cues));
                }
                if let Some(picture) = places.picture {
                    assert!(!picture.intersects(places.cues) && !picture.intersects(places.band));
                }
            }
        }
    }

    #[test]
    fn at_the_usual_sizes_number_answers_and_side_have_their_rows() {
        let of = |width, height| Places::of(Rect::new(0, 0, width, height));
        let (low, plain, wide, huge) = (of(40, 11), of(80, 23), of(120, 39), of(200, 59));
        assert_eq!([low.words.y, plain.words.y, wide.words.y, huge.words.y], [1, 2, 3, 4]);
        assert_eq!([low.band.y, plain.band.y, wide.band.y, huge.band.y], [4, 8, 10, 17]);
        assert_eq!([low.number.y, plain.number.y, wide.number.y, huge.number.y], [5, 10, 13, 20]);
        assert_eq!([low.ribbon.y, plain.ribbon.y, wide.ribbon.y, huge.ribbon.y], [10, 20, 32, 50]);
    }
}
