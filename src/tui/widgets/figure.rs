//! The body, front and back: what was trained, what the plan reaches, what must be left alone.

use std::collections::{BTreeMap, BTreeSet};

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Effort, Muscle, Side, Unit};
use crate::tui::canvas;
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};

/// One view of the body as rows of letters, each standing for a muscle; a full stop is no muscle.
type View = &'static [&'static str];

const FRONT: View = &[
    "     ...     ",
    "     ...     ",
    "     nnn     ",
    "  DTTTTTTTD  ",
    " DDPPPPPPPDD ",
    " BBPppPppPBB ",
    " BB OAAAO BB ",
    " FF OAAAO FF ",
    " FF OAAAO FF ",
    " .. LIIIL .. ",
    "   LQQIQQL   ",
    "   LQQdQQL   ",
    "   VQQdQQV   ",
    "   VVV VVV   ",
    "   ... ...   ",
    "   ttt ttt   ",
    "   .t. .t.   ",
    "   ... ...   ",
];
const BACK: View = &[
    "     ...     ",
    "     ...     ",
    "     eee     ",
    "  UTTvTvTTU  ",
    " UURRhhhRRUU ",
    " CCWRhhhRWCC ",
    " CC WWEWW CC ",
    " XX WWEWW XX ",
    " XX qqEqq XX ",
    " .. mmEmm .. ",
    "   mGGGGGm   ",
    "   GGiGiGG   ",
    "   HHH HHH   ",
    "   HHH HHH   ",
    "   ... ...   ",
    "   ggg ggg   ",
    "   .s. .s.   ",
    "   ... ...   ",
];
const FRONT_SMALL: View = &[
    "    ...    ",
    "    nnn    ",
    " DTTTTTTTD ",
    " DPPpPpPPD ",
    " B OAAAO B ",
    " F OAAAO F ",
    " . LIIIL . ",
    "   QQdQQ   ",
    "   VQdQV   ",
    "   tt tt   ",
    "   .. ..   ",
];
const BACK_SMALL: View = &[
    "    ...    ",
    "    eee    ",
    " UTTvTvTTU ",
    " URRhhhRRU ",
    " C WWEWW C ",
    " X qqEqq X ",
    " . mmEmm . ",
    "   GiGiG   ",
    "   HH HH   ",
    "   gg gg   ",
    "   ss ss   ",
];

const fn muscle_of(letter: char) -> Option<Muscle> {
    Some(match letter {
        'n' => Muscle::Scalenes,
        'e' => Muscle::NeckExtensors,
        'T' => Muscle::UpperTrapezius,
        'v' => Muscle::LevatorScapulae,
        'D' => Muscle::AnteriorDeltoid,
        'U' => Muscle::PosteriorDeltoid,
        'P' => Muscle::PectoralisMajor,
        'p' => Muscle::PectoralisMinor,
        'R' => Muscle::RotatorCuff,
        'h' => Muscle::Rhomboids,
        'W' => Muscle::LatissimusDorsi,
        'E' => Muscle::ErectorSpinae,
        'q' => Muscle::QuadratusLumborum,
        'A' => Muscle::Abdominals,
        'O' => Muscle::Obliques,
        'B' => Muscle::Biceps,
        'C' => Muscle::Triceps,
        'F' => Muscle::WristFlexors,
        'X' => Muscle::WristExtensors,
        'I' => Muscle::Iliopsoas,
        'G' => Muscle::GluteusMaximus,
        'm' => Muscle::GluteusMedius,
        'i' => Muscle::Piriformis,
        'L' => Muscle::TensorFasciaeLatae,
        'd' => Muscle::Adductors,
        'Q' => Muscle::RectusFemoris,
        'V' => Muscle::Vasti,
        'H' => Muscle::Hamstrings,
        'g' => Muscle::Gastrocnemius,
        's' => Muscle::Soleus,
        't' => Muscle::TibialisAnterior,
        _ => return None,
    })
}

/// Both views of the body.
#[derive(Debug)]
pub struct Figure<'a> {
    /// What was trained today.
    pub trained: &'a BTreeMap<Muscle, Effort>,
    /// What the plan reaches.
    pub reached: &'a BTreeSet<Unit>,
    /// What must be left alone.
    pub avoided: &'a BTreeSet<Unit>,
    /// Whether what is reached is all there is to say, whatever was trained.
    pub plain: bool,
    /// The looks.
    pub theme: Theme,
}

impl Figure<'_> {
    /// Columns and rows of the drawings with their titles, the largest first: the second one doubled, itself, and one
    /// with less in it.
    pub const SIZES: [(u16, u16); 3] = [(54, 38), (28, 20), (24, 13)];

    /// The rows that are drawn on in an area.
    pub fn rows(area: Rect) -> u16 {
        Self::SIZES.into_iter().find(|size| fits(*size, area)).unwrap_or(Self::SIZES[2]).1
    }

    fn mark(&self, unit: Unit) -> (&'static str, Tone) {
        let glyphs = self.theme.glyphs();
        let trained = self.trained.contains_key(&unit.muscle);
        let reached = self.reached.contains(&unit);
        if self.avoided.contains(&unit) {
            return (if self.theme.ascii { "x" } else { "×" }, Tone::Caution);
        }
        match (trained, reached) {
            (_, true) if self.plain => (glyphs.full, Tone::Good),
            (true, true) => (glyphs.full, Tone::Good),
            (true, false) => (glyphs.half, Tone::Trained),
            (false, true) => (if self.theme.ascii { "+" } else { "▪" }, Tone::Good),
            (false, false) => (glyphs.shade, Tone::Faint),
        }
    }

    fn draw(&self, view: View, viewers_left: Side, area: Rect, scale: u16, buf: &mut Buffer) {
        let inside = area.intersection(buf.area);
        for (y, row) in view.iter().enumerate() {
            let middle = row.chars().count() / 2;
            for (x, letter) in row.chars().enumerate() {
                if letter == ' ' {
                    continue;
                }
                let side = if x <= middle { viewers_left } else { viewers_left.other() };
                let (symbol, tone) = match muscle_of(letter) {
                    Some(muscle) if x == middle => {
                        // A cell in the midline stands for both sides: the one that says more.
                        let one = self.mark(Unit { muscle, side });
                        if one.1 == Tone::Faint {
                            self.mark(Unit { muscle, side: side.other() })
                        } else {
                            one
                        }
                    }
                    Some(muscle) => self.mark(Unit { muscle, side }),
                    None => (self.theme.glyphs().shade, Tone::Faint),
                };
                let (left, top) = (area.x + cells(x) * scale, area.y + cells(y) * scale);
                let cell = Rect { x: left, y: top, width: scale, height: scale };
                for at in cell.intersection(inside).positions() {
                    buf[at].set_symbol(symbol).set_style(self.theme.style(tone));
                }
            }
        }
    }

    /// The same in words.
    pub fn words(&self) -> Vec<String> {
        let is_reached = |muscle: Muscle| self.reached.iter().any(|unit| unit.muscle == muscle);
        let named = |muscles: Vec<Muscle>| {
            text::list(&muscles.iter().map(|muscle| muscle.plain_name().to_owned()).collect::<Vec<_>>())
        };
        let (reached, missed): (Vec<Muscle>, Vec<Muscle>) =
            self.trained.keys().partition(|muscle| is_reached(**muscle));
        let mut besides: Vec<Muscle> = self.reached.iter().map(|unit| unit.muscle).collect();
        besides.dedup();
        besides.retain(|muscle| !self.trained.contains_key(muscle));
        let mut avoided: Vec<Muscle> = self.avoided.iter().map(|unit| unit.muscle).collect();
        avoided.dedup();
        [
            ("trained and reached", reached),
            ("trained, not reached", missed),
            ("reached besides", besides),
            ("leave alone", avoided),
        ]
        .into_iter()
        .filter(|(_, muscles)| !muscles.is_empty())
        .map(|(what, muscles)| format!("{what}: {}", named(muscles)))
        .collect()
    }
}

fn fits((columns, rows): (u16, u16), area: Rect) -> bool {
    area.width >= columns && area.height >= rows
}

impl Widget for &Figure<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let (front, back, pitch, scale) = match Figure::SIZES.map(|size| fits(size, area)) {
            [true, ..] => (FRONT, BACK, 28, 2),
            [_, true, _] => (FRONT, BACK, 15, 1),
            _ => (FRONT_SMALL, BACK_SMALL, 12, 1),
        };
        if area.width < pitch || area.height == 0 {
            return;
        }
        let title = self.theme.style(Tone::Dim);
        let heads = [("front", front, Side::Right, 0), ("back", back, Side::Left, pitch)];
        for (name, view, viewers_left, offset) in heads {
            let Some(width) = area.width.checked_sub(offset).filter(|width| *width > 0) else { continue };
            let place = Rect { x: area.x + offset, width: width.min(pitch), ..area };
            // Without its name a figure is still known; without its shins it is not.
            let titled = usize::from(area.height) > view.len();
            let indent = (pitch - 2 * scale).saturating_sub(cells(name.len())) / 2;
            if titled {
                let room = usize::from(place.width.saturating_sub(indent));
                buf.set_stringn(place.x + indent.min(place.width), place.y, name, room, title);
            }
            let below = canvas::below(place, u16::from(titled));
            self.draw(view, viewers_left, below, scale, buf);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::{Background, ColourDepth};

    const THEME: Theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: true };

    #[test]
    fn every_muscle_is_on_the_figure_in_both_sizes() {
        for views in [[FRONT, BACK], [FRONT_SMALL, BACK_SMALL]] {
            let drawn: BTreeSet<Muscle> = views
                .iter()
                .flat_map(|view| view.iter())
                .flat_map(|row| row.chars())
                .filter_map(muscle_of)
                .collect();
            let missing: Vec<_> = Muscle::ALL.iter().filter(|muscle| !drawn.contains(muscle)).collect();
            assert!(missing.is_empty(), "{missing:?}");
        }
    }

    #[test]
    fn left_is_on_the_viewers_right_in_front_and_on_the_left_behind() {
        let avoided = BTreeSet::from([
            Unit { muscle: Muscle::Hamstrings, side: Side::Left },
            Unit { muscle: Muscle::Vasti, side: Side::Left },
        ]);
        let (trained, reached) = (BTreeMap::new(), BTreeSet::new());
        let figure =
            Figure { trained: &trained, reached: &reached, avoided: &avoided, plain: false, theme: THEME };
        let area = Rect::new(0, 0, 24, 12);
        let mut buf = Buffer::empty(area);
        (&figure).render(area, &mut buf);
        let row = |y: u16| (0..24).map(|x| buf[(x, y)].symbol()).collect::<String>();
        assert_eq!(row(9).trim_end(), "   ....x       xx ..");
        assert_eq!(figure.words(), ["leave alone: lower front of the thigh and hamstrings"]);
    }
}
