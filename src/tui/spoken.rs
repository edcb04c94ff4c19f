//! Lengths and doses as they are spoken: in words, so that no voice reads a colon or a sign.

pub mod cues;
pub mod farewell;

use crate::body::Seconds;
use crate::planner::Dose;

const SMALL: [&str; 20] = [
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
const TENS: [&str; 10] =
    ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

/// A number in words; from a hundred on in digits.
pub fn number(number: u32) -> String {
    let (tens, ones) = (number / 10, number % 10);
    let index = |number: u32| usize::try_from(number).unwrap_or(0);
    match number {
        0..20 => SMALL[index(number)].to_owned(),
        20..100 if ones == 0 => TENS[index(tens)].to_owned(),
        20..100 => format!("{}-{}", TENS[index(tens)], SMALL[index(ones)]),
        _ => number.to_string(),
    }
}

/// A length of time in words.
pub fn length(length: Seconds) -> String {
    let (minutes, seconds) = (length.get() / 60, length.get() % 60);
    let unit = |number: u32, unit: &str| if number == 1 { unit.to_owned() } else { format!("{unit}s") };
    match (minutes, seconds) {
        (0, seconds) => format!("{} {}", number(seconds), unit(seconds, "second")),
        (minutes, 0) => format!("{} {}", number(minutes), unit(minutes, "minute")),
        (2.., 30) => format!("{} and a half minutes", number(minutes)),
        (minutes, seconds) => {
            format!("{} {} {}", number(minutes), unit(minutes, "minute"), number(seconds))
        }
    }
}

/// How a step is worked, in words.
pub fn dose(dose: Dose) -> String {
    match dose {
        Dose::Hold(hold) => length(hold),
        Dose::ContractRelax(dose) => {
            let (push, further) = (number(dose.push.get()), number(dose.stretch.get()));
            format!("push {push}, further {further}, {}", times(dose.cycles))
        }
    }
}

/// How often, in words.
fn times(cycles: u8) -> String {
    match cycles {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        cycles => format!("{} times", number(cycles.into())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_words_without_a_colon() {
        let said = [1, 30, 45, 60, 80, 90, 120, 150, 570].map(|seconds| length(Seconds::new(seconds)));
        assert_eq!(
            said,
            [
                "one second",
                "thirty seconds",
                "forty-five seconds",
                "one minute",
                "one minute twenty",
                "one minute thirty",
                "two minutes",
                "two and a half minutes",
                "nine and a half minutes"
            ]
        );
    }
}
