//! Paths into a scenario: keys and names with points between them, `*` for each of a record.

/// One step of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// The value under this key; in a list the item of that number, from 1, or that text.
    Key(String),
    /// Every value of the record or list.
    Each,
}

/// Reads a path. A key that holds a point stands in double quotes.
///
/// # Errors
/// What is wrong with it.
pub fn parse(text: &str) -> Result<Vec<Step>, &'static str> {
    let mut steps = Vec::new();
    let mut rest = text.trim();
    loop {
        let step = if let Some(quoted) = rest.strip_prefix('"') {
            let (key, after) = quoted.split_once('"').ok_or("a quote is not closed")?;
            rest = after;
            Step::Key(key.to_string())
        } else {
            let end = rest.find('.').unwrap_or(rest.len());
            let key = &rest[..end];
            rest = &rest[end..];
            match key {
                "*" => Step::Each,
                key => Step::Key(key.to_string()),
            }
        };
        if step == Step::Key(String::new()) {
            return Err("a key is empty");
        }
        steps.push(step);
        if rest.is_empty() {
            return Ok(steps);
        }
        rest = rest
            .strip_prefix('.')
            .ok_or("after a quote comes a point or the end")?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(text: &str) -> Step {
        Step::Key(text.into())
    }

    #[test]
    fn names_keep_their_blanks_and_quotes_their_points() {
        assert_eq!(
            parse("covers.low tunnel.count"),
            Ok(vec![key("covers"), key("low tunnel"), key("count")])
        );
        assert_eq!(
            parse("beds.\"N.1\".strips"),
            Ok(vec![key("beds"), key("N.1"), key("strips")])
        );
        assert_eq!(
            parse("rotation.*.rule"),
            Ok(vec![key("rotation"), Step::Each, key("rule")])
        );
    }

    #[test]
    fn what_is_no_path_says_why() {
        assert!(parse("").is_err());
        assert!(parse("beds.").is_err());
        assert!(parse("beds..count").is_err());
        assert!(parse("beds.\"N1").is_err());
        assert!(parse("beds.\"N1\"x").is_err());
    }
}
