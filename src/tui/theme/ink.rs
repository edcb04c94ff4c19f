//! The colours of pictures: three greys, the ground's own two tones, and the colour that means the side.

use ratatui::style::Color;

use crate::body::Side;
use crate::figure::{Blocks, Ink, Mark};

use super::{Background, ColourDepth, Rgb, Theme, Tone, grounds};

impl Theme {
    /// What the pixels of a picture are made of; none where only ASCII can be drawn, which has no pictures.
    pub const fn blocks(self, halves: bool) -> Option<Blocks> {
        match self.depth {
            _ if self.ascii => None,
            ColourDepth::None => Some(Blocks::Outlines),
            _ if halves => Some(Blocks::Halves),
            _ => Some(Blocks::Quadrants),
        }
    }

    /// The colour of a stretch's picture; none without colours.
    pub fn ink(self, ink: Ink, side: Option<Side>) -> Option<Color> {
        match self.depth {
            ColourDepth::None => None,
            ColourDepth::Sixteen => Some(self.sixteen_ink(ink, side)),
            _ => Some(self.colour(self.ink_rgb(ink, side))),
        }
    }

    fn ink_rgb(self, ink: Ink, side: Option<Side>) -> Rgb {
        let (ground, mat) = grounds(self.background);
        match ink {
            Ink::Mat => mat,
            Ink::Thing => mixed(mat, self.rgb(Tone::Faint), 45),
            Ink::Far => self.rgb(Tone::Faint),
            Ink::Hair => mixed(self.rgb(Tone::Faint), self.rgb(Tone::Dim), 35),
            Ink::Trunk => mixed(self.rgb(Tone::Dim), ground, 8),
            Ink::Near => mixed(self.rgb(Tone::Text), ground, 9),
            Ink::Muscle | Ink::Arrow => self.rgb(Self::side(side)),
        }
    }

    fn sixteen_ink(self, ink: Ink, side: Option<Side>) -> Color {
        let dark = self.background == Background::Dark;
        match (ink, dark) {
            (Ink::Mat, true) => Color::Black,
            (Ink::Thing | Ink::Far | Ink::Hair, true) | (Ink::Near | Ink::Hair, false) => Color::DarkGray,
            (Ink::Trunk, _) | (Ink::Thing | Ink::Far, false) => Color::Gray,
            (Ink::Near, true) | (Ink::Mat, false) => Color::White,
            // Yellow is too light for letters on a light ground, and strong enough for a shape on grey.
            (Ink::Muscle | Ink::Arrow, false) if side == Some(Side::Right) => Color::Yellow,
            (Ink::Muscle | Ink::Arrow, _) => self.sixteen(Self::side(side)).unwrap_or(Color::Reset),
        }
    }

    /// The colour of the body map; none without colours.
    pub fn mark(self, mark: Mark) -> Option<Color> {
        let dark = self.background == Background::Dark;
        match (self.depth, mark) {
            (ColourDepth::None, _) => None,
            (ColourDepth::Sixteen, Mark::Missed) => Some(if dark { Color::White } else { Color::Black }),
            (ColourDepth::Sixteen, Mark::Done) if !dark => Some(Color::Green),
            (ColourDepth::Sixteen, Mark::Besides) => {
                Some(if dark { Color::Green } else { Color::LightGreen })
            }
            (ColourDepth::Sixteen, Mark::Avoided) => Some(if dark { Color::LightRed } else { Color::Red }),
            (ColourDepth::Sixteen, _) => self.sixteen(tone_of(mark)),
            (_, Mark::Besides) => {
                let (ground, _) = grounds(self.background);
                Some(self.colour(mixed(self.rgb(Tone::Good), ground, 40)))
            }
            _ => Some(self.colour(self.rgb(tone_of(mark)))),
        }
    }
}

const fn tone_of(mark: Mark) -> Tone {
    match mark {
        Mark::Idle => Tone::Faint,
        Mark::Besides | Mark::Done => Tone::Good,
        Mark::Missed => Tone::Strong,
        Mark::Avoided => Tone::Caution,
    }
}

/// So many hundredths of the way from one colour to another.
fn mixed(from: Rgb, to: Rgb, percent: u16) -> Rgb {
    let channel = |from: u8, to: u8| {
        let sum = u16::from(from) * (100 - percent) + u16::from(to) * percent;
        u8::try_from(sum / 100).unwrap_or(u8::MAX)
    };
    (channel(from.0, to.0), channel(from.1, to.1), channel(from.2, to.2))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    const INKS: [Ink; 6] = [Ink::Thing, Ink::Far, Ink::Hair, Ink::Trunk, Ink::Near, Ink::Muscle];
    const MARKS: [Mark; 5] = [Mark::Idle, Mark::Besides, Mark::Missed, Mark::Done, Mark::Avoided];

    #[test]
    fn the_near_limb_and_the_muscle_stand_out_in_every_theme_and_every_mark_has_a_colour_of_its_own() {
        for background in [Background::Dark, Background::Light] {
            for depth in [ColourDepth::Sixteen, ColourDepth::Indexed, ColourDepth::True] {
                let theme = Theme { depth, background, ascii: false };
                for side in [Some(Side::Left), Some(Side::Right), None] {
                    let colours = INKS.map(|ink| format!("{:?}", theme.ink(ink, side)));
                    for of in [4, 5] {
                        let others = colours.iter().enumerate().filter(|(index, _)| *index != of);
                        // Hair and near limbs share a grey where there are but two.
                        let others = others.filter(|(index, _)| depth != ColourDepth::Sixteen || *index != 2);
                        assert!(
                            others.clone().all(|(_, colour)| *colour != colours[of]),
                            "{theme:?} {colours:?}"
                        );
                    }
                }
                let marks: BTreeSet<String> =
                    MARKS.iter().map(|mark| format!("{:?}", theme.mark(*mark))).collect();
                assert_eq!(marks.len(), MARKS.len(), "{theme:?} {marks:?}");
            }
        }
    }

    #[test]
    fn without_colours_there_are_outlines_and_without_unicode_no_pictures() {
        let theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: false };
        assert_eq!(theme.blocks(false), Some(Blocks::Outlines));
        assert_eq!((theme.ink(Ink::Near, None), theme.mark(Mark::Done)), (None, None));
        assert_eq!(Theme { ascii: true, ..theme }.blocks(false), None);
        assert_eq!(Theme { depth: ColourDepth::Sixteen, ..theme }.blocks(true), Some(Blocks::Halves));
    }
}
