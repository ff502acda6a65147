/// Tells whether a character takes up no room on a page: nobody sees it, but web pages, word processors and copied
/// labels leave it in names and numbers.
///
/// They count for nothing where keys and numbers are compared.
pub fn is_unseen(c: char) -> bool {
    matches!(
        c,
        // Soft hyphen, combining grapheme joiner, and the mark of Arabic letters.
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180e}'
        // Spaces without width, joiners, and what turns the direction of writing.
        | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        // Variants of letters, the byte-order mark, and tags.
        | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{e0000}'..='\u{e0fff}'
    ) || (c.is_control() && !c.is_whitespace())
}

#[cfg(test)]
mod tests {
    use super::super::{Key, PartNumber};

    #[test]
    fn what_nobody_sees_counts_for_nothing_in_keys_and_numbers() {
        for unseen in
            ["\u{200b}", "\u{ad}", "\u{2060}", "\u{202e}", "\u{feff}", "\u{200e}", "\u{7}"]
        {
            for text in
                [format!("pin{unseen}-9"), format!("{unseen}pin-9"), format!("PIN-9{unseen} ")]
            {
                assert_eq!(Key::new(&text), Key::new("pin-9"), "{text:?}");
                assert_eq!(PartNumber::new(&text), PartNumber::new("pin-9"), "{text:?}");
            }
            assert_eq!(PartNumber::new(unseen), None);
        }
        assert_eq!(Key::new("pump\u{a0}cover"), Key::new("pump cover"));
        assert_ne!(Key::new("pump cover"), Key::new("pumpcover"));
    }
}
