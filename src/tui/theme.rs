//! Every colour, modifier and glyph of the screens; one meaning each, on every screen.

mod ink;

use ratatui::style::{Color, Modifier, Style};

use crate::body::Side;
use crate::catalogue::Position;

/// How many colours the terminal shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ColourDepth {
    /// None: modifiers and glyphs carry everything.
    None,
    /// The terminal's own sixteen.
    Sixteen,
    /// The fixed palette of 256.
    Indexed,
    /// 24 bits.
    True,
}

/// Whether the background is dark or light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Background {
    /// Light letters on a dark ground.
    Dark,
    /// Dark letters on a light ground.
    Light,
}

/// What a piece of the screen means; the same everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Ordinary text.
    Text,
    /// Headings and what is read first.
    Strong,
    /// What is read last.
    Dim,
    /// Structure without letters: rules, the body's outline, empty lanes.
    Faint,
    /// Where the keys go: cursor, key names, the chosen row.
    Focus,
    /// The client's left.
    Left,
    /// The client's right.
    Right,
    /// Both sides at once, or alike on both.
    Both,
    /// Pain, stop, no session: hands off.
    HandsOff,
    /// A caution, and what is to be left alone.
    Caution,
    /// Saved; trained and reached.
    Good,
}

impl Tone {
    /// Every tone that letters are drawn in.
    pub const LETTERS: [Self; 10] = [
        Self::Text,
        Self::Strong,
        Self::Dim,
        Self::Focus,
        Self::Left,
        Self::Right,
        Self::Both,
        Self::HandsOff,
        Self::Caution,
        Self::Good,
    ];
}

/// The looks of all screens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    /// How many colours there are.
    pub depth: ColourDepth,
    /// The background.
    pub background: Background,
    /// Whether only ASCII can be drawn.
    pub ascii: bool,
}

type Rgb = (u8, u8, u8);

const fn dark(tone: Tone) -> Rgb {
    match tone {
        Tone::Text => (0xd6, 0xd3, 0xca),
        Tone::Strong | Tone::Focus => (0xf6, 0xf3, 0xea),
        Tone::Dim => (0x9c, 0x9f, 0xa3),
        Tone::Faint => (0x56, 0x5d, 0x66),
        Tone::Left => (0x78, 0xbd, 0xee),
        Tone::Right => (0xf0, 0xa8, 0x64),
        Tone::Both => (0xc3, 0xb1, 0xf5),
        Tone::HandsOff => (0xff, 0x78, 0x7c),
        Tone::Caution => (0xe5, 0xd4, 0x7c),
        Tone::Good => (0x8f, 0xce, 0x9a),
    }
}

const fn light(tone: Tone) -> Rgb {
    match tone {
        Tone::Text => (0x33, 0x34, 0x38),
        Tone::Strong | Tone::Focus => (0x0c, 0x0d, 0x10),
        Tone::Dim => (0x5e, 0x60, 0x66),
        Tone::Faint => (0xb4, 0xae, 0xa0),
        Tone::Left => (0x0f, 0x5f, 0x9e),
        Tone::Right => (0x93, 0x4a, 0x06),
        Tone::Both => (0x48, 0x2c, 0x98),
        Tone::HandsOff => (0xb0, 0x00, 0x20),
        Tone::Caution => (0x6d, 0x58, 0x06),
        Tone::Good => (0x1e, 0x66, 0x36),
    }
}

/// The background and the chosen row's background.
const fn grounds(background: Background) -> (Rgb, Rgb) {
    match background {
        Background::Dark => ((0x14, 0x17, 0x1b), (0x27, 0x2b, 0x33)),
        Background::Light => ((0xf8, 0xf5, 0xee), (0xe9, 0xe4, 0xd8)),
    }
}

impl Theme {
    fn colour(self, rgb: Rgb) -> Color {
        match self.depth {
            ColourDepth::True => Color::Rgb(rgb.0, rgb.1, rgb.2),
            _ => Color::Indexed(nearest_indexed(rgb)),
        }
    }

    fn rgb(self, tone: Tone) -> Rgb {
        if self.background == Background::Dark { dark(tone) } else { light(tone) }
    }

    /// The colour of a tone among the terminal's sixteen; none where the terminal's own letters serve.
    fn sixteen(self, tone: Tone) -> Option<Color> {
        let dark = self.background == Background::Dark;
        match tone {
            Tone::Text | Tone::Strong | Tone::Dim | Tone::Focus | Tone::Caution => None,
            Tone::Faint => Some(if dark { Color::DarkGray } else { Color::Gray }),
            Tone::Both => Some(if dark { Color::LightMagenta } else { Color::Magenta }),
            Tone::Left => Some(if dark { Color::LightCyan } else { Color::Blue }),
            Tone::Right => Some(if dark { Color::LightYellow } else { Color::Black }),
            Tone::HandsOff => Some(if dark { Color::LightRed } else { Color::Red }),
            Tone::Good => dark.then_some(Color::LightGreen),
        }
    }

    /// How letters of a tone are drawn.
    pub fn style(self, tone: Tone) -> Style {
        let style = match self.depth {
            ColourDepth::None => Style::new(),
            ColourDepth::Sixteen => self.sixteen(tone).map_or(Style::new(), |colour| Style::new().fg(colour)),
            _ => Style::new().fg(self.colour(self.rgb(tone))),
        };
        match tone {
            Tone::Strong | Tone::Focus => style.add_modifier(Modifier::BOLD),
            Tone::Caution if self.depth <= ColourDepth::Sixteen => style.add_modifier(Modifier::BOLD),
            Tone::HandsOff if self.depth == ColourDepth::None => style.add_modifier(Modifier::BOLD),
            _ => style,
        }
    }

    /// How a filled cell of a tone is drawn, with letters that can be read on it.
    pub fn fill(self, tone: Tone) -> Style {
        match self.depth {
            ColourDepth::None | ColourDepth::Sixteen => self.style(tone).add_modifier(Modifier::REVERSED),
            _ => Style::new().fg(self.colour(grounds(self.background).0)).bg(self.colour(self.rgb(tone))),
        }
    }

    /// The ground that everything stands on.
    pub fn base(self) -> Style {
        match self.depth {
            ColourDepth::None | ColourDepth::Sixteen => Style::new(),
            _ => {
                Style::new().fg(self.colour(self.rgb(Tone::Text))).bg(self.colour(grounds(self.background).0))
            }
        }
    }

    /// The ground of the chosen row; a mark before the row says the same without colour.
    pub fn chosen(self) -> Style {
        match self.depth {
            ColourDepth::None | ColourDepth::Sixteen => Style::new().add_modifier(Modifier::BOLD),
            _ => Style::new().bg(self.colour(grounds(self.background).1)),
        }
    }

    /// The tone of a side.
    pub const fn side(side: Option<Side>) -> Tone {
        match side {
            Some(Side::Left) => Tone::Left,
            Some(Side::Right) => Tone::Right,
            None => Tone::Both,
        }
    }

    /// The glyphs of this terminal.
    pub const fn glyphs(self) -> &'static Glyphs {
        if self.ascii { &ASCII } else { &UNICODE }
    }
}

/// Characters that carry meaning, in Unicode and in ASCII.
#[derive(Debug, PartialEq, Eq)]
pub struct Glyphs {
    /// The client's left, right, and both at once.
    pub sides: [&'static str; 3],
    /// Left, right and both as a thin band.
    pub bands: [&'static str; 3],
    /// What is behind: a thin line in the upper and in the lower lane.
    pub sunk: [&'static str; 2],
    /// The edge of the screen on a side that is worked.
    pub edge: &'static str,
    /// A client's push.
    pub push: &'static str,
    /// Made ready, or standing still.
    pub waiting: &'static str,
    /// On the way into another position.
    pub moving: &'static str,
    /// Under the answer that is aimed at.
    pub aim: &'static str,
    /// A filled cell.
    pub full: &'static str,
    /// The body's outline, an empty lane.
    pub shade: &'static str,
    /// Half marked.
    pub half: &'static str,
    /// Five heights for the levels 1 to 5.
    pub levels: [&'static str; 5],
    /// Line textures of the six positions.
    pub positions: [&'static str; 6],
    /// The mark for now.
    pub now: &'static str,
    /// The mark for the client standing up.
    pub end: &'static str,
    /// A cut text.
    pub ellipsis: &'static str,
    /// Between two facts on a line.
    pub dot: &'static str,
    /// Before the chosen row.
    pub chosen: &'static str,
    /// Where text is typed.
    pub prompt: &'static str,
    /// A caution.
    pub caution: &'static str,
    /// Done.
    pub done: &'static str,
    /// A thin rule.
    pub rule: &'static str,
    /// From one to the next.
    pub arrow: &'static str,
    /// The keys that point left, right, up and down.
    pub arrows: [&'static str; 4],
    /// Left, right and both as points of a plot.
    pub points: [&'static str; 3],
    /// A minute on the time axis.
    pub tick: &'static str,
    /// Set by the trainer.
    pub pinned: &'static str,
}

static UNICODE: Glyphs = Glyphs {
    sides: ["◀", "▶", "◆"],
    bands: ["▀", "▄", "█"],
    sunk: ["▔", "▁"],
    edge: "█",
    push: "▚",
    waiting: "╌",
    moving: "›",
    aim: "━",
    full: "█",
    shade: "░",
    half: "▒",
    levels: ["▁", "▃", "▅", "▆", "█"],
    positions: ["─", "╌", "━", "┄", "═", "┅"],
    now: "▼",
    end: "▏",
    ellipsis: "…",
    dot: "·",
    chosen: "▌",
    prompt: "›",
    caution: "▲",
    done: "✓",
    rule: "─",
    arrow: "→",
    arrows: ["←", "→", "↑", "↓"],
    points: ["◁", "▶", "◆"],
    tick: "╵",
    pinned: "●",
};

static ASCII: Glyphs = Glyphs {
    sides: ["<", ">", "="],
    bands: ["'", "_", "#"],
    sunk: ["-", "-"],
    edge: "|",
    push: "%",
    waiting: "-",
    moving: ">",
    aim: "=",
    full: "#",
    shade: ".",
    half: "o",
    levels: ["1", "2", "3", "4", "5"],
    positions: ["-", "~", "=", "+", ":", "|"],
    now: "V",
    end: "|",
    ellipsis: "~",
    dot: "-",
    chosen: ">",
    prompt: ">",
    caution: "!",
    done: "*",
    rule: "-",
    arrow: "->",
    arrows: ["Left", "Right", "Up", "Down"],
    points: ["<", ">", "="],
    tick: "'",
    pinned: "@",
};

impl Glyphs {
    /// The mark of a side.
    pub const fn side(&self, side: Option<Side>) -> &'static str {
        self.sides[side_index(side)]
    }

    /// The thin band of a side.
    pub const fn band(&self, side: Option<Side>) -> &'static str {
        self.bands[side_index(side)]
    }

    /// The plotted point of a side.
    pub const fn point(&self, side: Option<Side>) -> &'static str {
        self.points[side_index(side)]
    }

    /// The line of a position.
    pub const fn position(&self, position: Position) -> &'static str {
        self.positions[position as usize]
    }
}

const fn side_index(side: Option<Side>) -> usize {
    match side {
        Some(Side::Left) => 0,
        Some(Side::Right) => 1,
        None => 2,
    }
}

/// The nearest of the fixed colours 16 to 255: a cube of six steps an axis, and 24 greys.
fn nearest_indexed(rgb: Rgb) -> u8 {
    (16..=255)
        .min_by_key(|&index| {
            let (r, g, b) = indexed_rgb(index);
            let apart = |x: u8, y: u8| (i32::from(x) - i32::from(y)).pow(2);
            apart(r, rgb.0) * 3 + apart(g, rgb.1) * 6 + apart(b, rgb.2) * 2
        })
        .unwrap_or(15)
}

/// The colour of an index from 16 to 255, as xterm defines it.
fn indexed_rgb(index: u8) -> Rgb {
    let step = |n: u8| if n == 0 { 0 } else { 55 + 40 * n };
    if index >= 232 {
        let grey = 8 + 10 * (index - 232);
        return (grey, grey, grey);
    }
    let cube = index.saturating_sub(16);
    (step(cube / 36), step(cube / 6 % 6), step(cube % 6))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance, W3C Web Content Accessibility Guidelines 2.2, "relative luminance".
    fn luminance((r, g, b): Rgb) -> f64 {
        let linear = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
    }

    /// Contrast ratio, W3C Web Content Accessibility Guidelines 2.2, "contrast ratio".
    fn contrast(one: Rgb, other: Rgb) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    /// xterm's defaults for the sixteen; the terminal's own letters are black or white.
    fn rgb_of(colour: Option<Color>, background: Background) -> Rgb {
        match colour {
            Some(Color::Rgb(r, g, b)) => (r, g, b),
            Some(Color::Indexed(index)) => indexed_rgb(index),
            Some(Color::LightRed) => (255, 0, 0),
            Some(Color::LightGreen) => (0, 255, 0),
            Some(Color::LightYellow) => (255, 255, 0),
            Some(Color::LightMagenta) => (255, 0, 255),
            Some(Color::LightCyan) => (0, 255, 255),
            Some(Color::Red) => (205, 0, 0),
            Some(Color::Blue) => (0, 0, 238),
            Some(Color::Magenta) => (205, 0, 205),
            Some(Color::White) => (255, 255, 255),
            None if background == Background::Dark => (229, 229, 229),
            Some(Color::Black) | None => (0, 0, 0),
            other => panic!("no value for {other:?}"),
        }
    }

    /// Ratios that W3C prints for its examples, ACT rule afw4f7, "Text has minimum contrast": a first digit behind the
    /// point, cut and not rounded.
    #[test]
    fn the_formula_gives_the_ratios_that_its_publisher_prints() {
        const WHITE: Rgb = (255, 255, 255);
        const BLACK: Rgb = (0, 0, 0);
        for (one, other, printed) in [
            ((0x33, 0x33, 0x33), WHITE, 12.6),
            ((0xcc, 0xcc, 0xcc), BLACK, 13.0),
            ((0x66, 0x66, 0x66), BLACK, 3.6),
            ((0xaa, 0xaa, 0xaa), WHITE, 2.3),
            (BLACK, WHITE, 21.0),
        ] {
            let ratio = contrast(one, other);
            assert!((printed..printed + 0.1).contains(&ratio), "{one:?} on {other:?}: {ratio} for {printed}");
            assert!((contrast(other, one) - ratio).abs() < 1e-12);
        }
    }

    #[test]
    fn the_formula_gives_the_published_extremes() {
        assert!((contrast((0, 0, 0), (255, 255, 255)) - 21.0).abs() < 1e-9);
        assert!((contrast((9, 9, 9), (9, 9, 9)) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn letters_stand_out_by_at_least_four_and_a_half_to_one() {
        for background in [Background::Dark, Background::Light] {
            for depth in [ColourDepth::Sixteen, ColourDepth::Indexed, ColourDepth::True] {
                let theme = Theme { depth, background, ascii: false };
                let plain = if background == Background::Dark { (0, 0, 0) } else { (255, 255, 255) };
                let base = theme.base().bg.map_or(plain, |colour| rgb_of(Some(colour), background));
                let chosen = theme.chosen().bg.map_or(base, |colour| rgb_of(Some(colour), background));
                for tone in Tone::LETTERS {
                    let letters = rgb_of(theme.style(tone).fg, background);
                    for under in [base, chosen] {
                        let ratio = contrast(letters, under);
                        assert!(ratio >= 4.5, "{depth:?} {background:?} {tone:?}: {ratio:.2}");
                    }
                }
            }
        }
    }

    #[test]
    fn without_colour_no_style_has_one() {
        let theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: false };
        for tone in Tone::LETTERS {
            for style in [theme.style(tone), theme.fill(tone), theme.base(), theme.chosen()] {
                assert_eq!((style.fg, style.bg), (None, None), "{tone:?}");
            }
        }
    }

    #[test]
    fn ascii_glyphs_are_ascii() {
        assert!(format!("{ASCII:?}").is_ascii());
    }
}
