//! Numbers as they are typed to options: what cannot be says what may stand there.

/// A whole number between two.
///
/// # Errors
/// Says what is allowed.
pub fn whole<const LEAST: u32, const MOST: u32>(text: &str) -> Result<u32, String> {
    let number = text.parse().ok().filter(|number| (LEAST..=MOST).contains(number));
    number.ok_or_else(|| format!("allowed is a whole number from {LEAST} to {MOST}"))
}

/// Which of a list, from 1.
///
/// # Errors
/// Says what is allowed.
pub fn which(text: &str) -> Result<usize, String> {
    whole::<1, 1_000_000>(text).map(|number| number as usize)
}

/// A number of years or an amount of money.
///
/// # Errors
/// Says what is allowed.
pub fn amount(text: &str) -> Result<f64, String> {
    let number = text.parse().ok().filter(|number: &f64| (0.0..=1e9).contains(number));
    number.ok_or_else(|| "allowed is a number from 0 to 1000000000".to_owned())
}

/// Any number.
///
/// # Errors
/// Says what is allowed.
pub fn number(text: &str) -> Result<f64, String> {
    let number = text.parse().ok().filter(|number: &f64| number.is_finite());
    number.ok_or_else(|| "allowed is a number such as 2.5".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_typed_says_both_bounds() {
        for text in ["0", "-1", "2.5", "x", "99999999999", ""] {
            assert_eq!(whole::<1, 50>(text), Err("allowed is a whole number from 1 to 50".to_owned()), "{text}");
            assert!(which(text).is_err(), "{text}");
        }
        assert_eq!((whole::<1, 50>("50"), which("7")), (Ok(50), Ok(7)));
        for text in ["-1", "1e300", "nan", "much"] {
            assert!(amount(text).is_err_and(|says| says.ends_with("from 0 to 1000000000")), "{text}");
        }
        assert!(number("inf").is_err() && number("1e300") == Ok(1e300));
    }
}
