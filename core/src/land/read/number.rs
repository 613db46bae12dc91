//! Numbers in text, fast: a text grid has millions of them.

/// Powers of ten that a 64-bit float holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21,
    1e22,
];

/// The number at the start of `text` and the bytes it takes, up to the next blank or the end. NaN where a void is
/// spelled out; `None` where there is no number. Correctly rounded: exact for up to 15 digits, and the standard
/// library's way for all others.
pub(super) fn number_at(text: &[u8]) -> Option<(f64, usize)> {
    let negative = text.first() == Some(&b'-');
    let mut at = usize::from(negative);
    let mut digits = 0_u64;
    let first = at;
    while let Some(digit) = digit(text, at) {
        digits = digits.wrapping_mul(10).wrapping_add(digit);
        at += 1;
    }
    let mut count = at - first;
    let mut decimals = 0;
    if text.get(at) == Some(&b'.') {
        at += 1;
        let point = at;
        while let Some(digit) = digit(text, at) {
            digits = digits.wrapping_mul(10).wrapping_add(digit);
            at += 1;
        }
        decimals = at - point;
        count += decimals;
    }
    let ends = text.get(at).is_none_or(u8::is_ascii_whitespace);
    if ends && (1..=15).contains(&count) {
        let number = digits as f64 / POWERS[decimals];
        return Some((if negative { -number } else { number }, at));
    }
    let word = word_at(text);
    Some((unusual(word)?, word.len()))
}

fn digit(text: &[u8], at: usize) -> Option<u64> {
    text.get(at).map(|byte| byte.wrapping_sub(b'0')).filter(|digit| *digit < 10).map(u64::from)
}

/// The bytes up to the next blank.
pub(super) fn word_at(text: &[u8]) -> &[u8] {
    &text[..text.iter().position(u8::is_ascii_whitespace).unwrap_or(text.len())]
}

/// Exponents, many digits, a leading plus, and the ways in which void is spelled.
fn unusual(word: &[u8]) -> Option<f64> {
    let word = std::str::from_utf8(word).ok()?;
    // "1.#QNAN", "-1.#IND" and the like are how one C library prints what is no number.
    if word.trim_start_matches('-').starts_with("1.#") {
        return Some(f64::NAN);
    }
    word.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn numbers_are_read_as_the_standard_library_reads_them() {
        for text in [
            "0",
            "-0",
            "12",
            "-9999",
            "263.37",
            ".5",
            "5.",
            "1e3",
            "-1.5E-2",
            "+7",
            "123456789012345678",
            "0.1234567890123456789",
        ] {
            let (number, length) = number_at(text.as_bytes()).expect(text);
            assert_eq!((number.to_bits(), length), (text.parse::<f64>().expect(text).to_bits(), text.len()), "{text}");
        }
    }

    #[test]
    fn a_number_ends_at_the_next_blank() {
        assert_eq!(number_at(b"12.5\r\n13"), Some((12.5, 4)));
    }

    #[test]
    fn what_is_no_number_is_told() {
        for text in ["", "-", ".", "12,5", "abc", "1.2.3", "0x10", "1e"] {
            assert_eq!(number_at(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn void_may_be_spelled_out() {
        for text in ["nan", "NaN", "-nan", "1.#QNAN", "-1.#IND"] {
            assert!(number_at(text.as_bytes()).expect(text).0.is_nan(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn any_printed_number_comes_back(number in prop::num::f64::NORMAL) {
            let text = format!("{number}");
            prop_assert_eq!(number_at(text.as_bytes()), Some((number, text.len())));
        }

        #[test]
        fn any_short_decimal_comes_back(whole in -99_999_i32..99_999, decimals in 0_u32..1_000_000) {
            let text = format!("{whole}.{decimals:06}");
            prop_assert_eq!(number_at(text.as_bytes()).map(|(number, _)| number), text.parse::<f64>().ok());
        }
    }
}
