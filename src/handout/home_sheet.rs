//! How large letters and pictures of the card for home can be so that all of it lies on one sheet of A4 or US Letter.
//!
//! The heights are estimated, and the largest sizes that fit are taken.

use std::cmp::Reverse;

use super::home_card::{HomeCard, HomeStretch};
use super::paper_size::{BOLD, LETTER, POINT, SHEET, lines, width};

/// Between the picture and the words beside it.
const GAP: f64 = 6.0;
/// What there is beside stretches and cautions: head, how often, what is needed, the stop rule, boxes, foot.
const REST: f64 = 13.0 + 11.0 + 5.9 + 29.5 + 7.5 + 9.0;
/// Letters and pictures that are tried, in hundredths of the largest.
const LETTERS: [u16; 7] = [100, 94, 88, 82, 76, 70, 65];
const PICTURES: [u16; 6] = [100, 92, 84, 76, 68, 60];

/// Millimetres of a row and of its picture; points of name, position, words, seconds, the side behind them and cautions.
#[derive(Debug, Clone, Copy)]
pub(super) struct SheetSizes {
    row: f64,
    /// Width and height of a picture, in tenths of a millimetre.
    pub(super) picture: (u16, u16),
    name: f64,
    position: f64,
    words: f64,
    seconds: f64,
    side: f64,
    caution: f64,
}

/// How a card fits on a sheet.
#[derive(Debug, Clone)]
pub(super) struct Fitted {
    pub(super) sizes: SheetSizes,
    /// The cautions as they stand on it.
    pub(super) cautions: Vec<String>,
    /// How many stretches have room beside them.
    pub(super) stretches: usize,
}

/// Everything that a caution says where that leaves letters and pictures of a fair size, else its first sentence; every
/// caution in any case, with as many stretches as have room beside them.
pub(super) fn fitted(card: &HomeCard) -> Fitted {
    let all = card.stretches.len();
    let of = |count: usize, is_whole: bool| {
        let card = HomeCard { stretches: card.stretches[..count].to_vec(), ..card.clone() };
        let cautions = card.minded(is_whole);
        let sizes = SheetSizes::of(&card, &cautions);
        let fits = sizes.height(&card, &cautions) <= SHEET.1;
        (fits, Fitted { sizes, cautions, stretches: count })
    };
    let (fits, whole) = of(all, true);
    if fits && whole.sizes.is_fair() {
        return whole;
    }
    let fewer = (1..=all).rev().map(|count| of(count, false));
    let found = fewer.into_iter().find(|(fits, _)| *fits).map(|(_, fitted)| fitted);
    found.unwrap_or_else(|| of(all.min(1), false).1)
}

impl SheetSizes {
    /// Whether its letters are not much smaller than they would be on a card without cautions.
    fn is_fair(&self) -> bool {
        self.words >= 12.0
    }

    /// The largest sizes with which a card fits on a sheet: letters and pictures give way in turn.
    pub(super) fn of(card: &HomeCard, cautions: &[String]) -> Self {
        let mut pairs: Vec<(u16, u16)> =
            LETTERS.iter().flat_map(|letters| PICTURES.map(|pictures| (*letters, pictures))).collect();
        pairs.sort_by_key(|(letters, pictures)| Reverse((letters + pictures, *letters)));
        let mut tried = pairs.into_iter().map(|pair| Self::at(card.stretches.len(), pair));
        let least = Self::at(card.stretches.len(), (LETTERS[6], PICTURES[5]));
        tried.find(|sizes| sizes.height(card, cautions) <= SHEET.1).unwrap_or(least)
    }

    /// The sizes for so many stretches, so many hundredths of the largest.
    fn at(count: usize, (letters, pictures): (u16, u16)) -> Self {
        let (row, picture, name, words, seconds) = match count {
            0..=3 => (60.0, (62, 55), 23.0, 19.0, 40.0),
            4 => (45.0, (58, 43), 22.0, 17.0, 34.0),
            _ => (36.0, (50, 34), 20.0, 15.0, 28.0),
        };
        let [scale, drawn] = [letters, pictures].map(|percent| f64::from(percent) / 100.0);
        Self {
            row: row * drawn,
            picture: (picture.0 * pictures / 10, picture.1 * pictures / 10),
            name: name * scale,
            position: 15.0 * scale,
            words: words * scale,
            seconds: seconds * scale,
            side: 20.0 * scale,
            caution: 13.0 * scale.max(0.8),
        }
    }

    /// The style of these sizes.
    pub(super) fn style(&self) -> String {
        format!(
            ".ex{{grid-template-columns:{:.1}mm 1fr;min-height:{:.1}mm}}\n.ex h2{{font-size:{:.1}pt}}\n\
             .pos{{font-size:{:.1}pt}}\n.say{{font-size:{:.1}pt}}\n.dose{{font-size:{:.1}pt}}\n\
             .dose b{{font-size:{:.1}pt}}\n.mind{{font-size:{:.1}pt}}\n",
            f64::from(self.picture.0) / 10.0,
            self.row,
            self.name,
            self.position,
            self.words,
            self.side,
            self.seconds,
            self.caution
        )
    }

    /// Millimetres that a card takes at most.
    fn height(&self, card: &HomeCard, cautions: &[String]) -> f64 {
        let rows: f64 = card.stretches.iter().map(|stretch| self.row_height(stretch)).sum();
        let minded = cautions.iter().map(|caution| {
            let letter = self.caution * LETTER;
            lines(width(caution, letter), SHEET.0, letter) * self.caution * 1.2 * POINT + 1.0
        });
        REST + rows + minded.sum::<f64>()
    }

    fn row_height(&self, stretch: &HomeStretch) -> f64 {
        let beside = SHEET.0 - f64::from(self.picture.0) / 10.0 - GAP;
        let name = width(&stretch.name, self.name * BOLD)
            + 2.0 * self.name * POINT
            + width(stretch.position(), self.position * LETTER);
        let said = width(&stretch.say(), self.words * LETTER);
        let (mut dose_lines, mut used) = (1.0, 0.0);
        for (dose, side) in stretch.doses() {
            let wide = width(&dose, self.seconds * BOLD) + width(side, self.side * LETTER) + 8.0;
            if used > 0.0 && used + wide > beside {
                (dose_lines, used) = (dose_lines + 1.0, 0.0);
            }
            used += wide;
        }
        let words = lines(name, beside, self.name * BOLD) * self.name * 1.1 * POINT
            + lines(said, beside, self.words * LETTER) * self.words * 1.14 * POINT
            + dose_lines * self.seconds * 1.05 * POINT
            + 1.8;
        words.max(self.row) + 0.3
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::{Seconds, Side};
    use crate::catalogue::Catalogue;
    use crate::handout::home_card::MOST;

    fn card(count: usize, skip: usize) -> HomeCard {
        let held = vec![(Some(Side::Left), Seconds::new(60)), (Some(Side::Right), Seconds::new(45))];
        let stretches = Catalogue::built_in().stretches().iter().skip(skip).take(count);
        let stretches = stretches
            .map(|stretch| HomeStretch {
                name: stretch.name.clone(),
                form: stretch.forms[0].clone(),
                held: held.clone(),
            })
            .collect();
        HomeCard {
            client: "Margarethe Oldenburg".to_owned(),
            studio: String::new(),
            trainer: String::new(),
            on: "2026-11-27".parse().unwrap(),
            days: 3,
            cautions: Vec::new(),
            stretches,
        }
    }

    #[test]
    fn every_caution_stands_on_the_sheet_however_many_there_are() {
        let sentence =
            |number: usize| format!("Left hip {number}: below a right angle, never across, never in.");
        for count in [0, 1, 3, 6, 12, 24] {
            let mut card = card(5, 3);
            card.cautions =
                (0..count).map(|number| vec![sentence(number), "And more of it. ".repeat(9)]).collect();
            let fitted = fitted(&card);
            assert_eq!(fitted.cautions.len(), count);
            assert!(
                fitted.cautions.iter().enumerate().all(|(number, said)| said.contains(&sentence(number)))
            );
            assert!(fitted.stretches >= 1, "{count}");
            card.stretches.truncate(fitted.stretches);
            assert!(fitted.sizes.height(&card, &fitted.cautions) <= SHEET.1, "{count} {fitted:?}");
            assert!(fitted.sizes.caution >= 10.0, "{fitted:?}");
        }
    }

    #[test]
    fn every_card_has_sizes_that_fit_on_a_sheet_and_can_be_read() {
        let caution =
            "Keep the thigh below a right angle to the body: no low seat, no sitting on the floor. "
                .repeat(2);
        for count in 1..=usize::from(MOST) {
            for skip in (0..Catalogue::built_in().stretches().len() - count).step_by(3) {
                let card = card(count, skip);
                for cautions in [&[][..], &[caution.clone(), caution.clone()]] {
                    let sizes = SheetSizes::of(&card, cautions);
                    let names: Vec<&str> = card.stretches.iter().map(|one| one.name.as_str()).collect();
                    assert!(sizes.height(&card, cautions) <= SHEET.1, "{count} {names:?} {sizes:?}");
                    assert!(sizes.words >= 9.7 && sizes.caution >= 10.0, "{names:?} {sizes:?}");
                }
            }
        }
        let (few, many) = (card(2, 0), card(5, 0));
        assert!(SheetSizes::of(&few, &[]).words > SheetSizes::of(&many, &[]).words);
    }
}
