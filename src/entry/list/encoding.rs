use crate::tables::decode as decoded;

/// Makes a text of the bytes of a list; gives the name of the encoding as well.
///
/// # Errors
/// The file is no text: a workbook, a PDF, a picture; the message says what to do.
pub fn decode(bytes: &[u8]) -> Result<(String, &'static str), String> {
    for (start, what) in [
        (&b"PK\x03\x04"[..], "a workbook or an archive"),
        (b"\xD0\xCF\x11\xE0", "an old workbook"),
        (b"%PDF", "a PDF"),
        (b"\x89PNG", "a picture"),
        (b"\xFF\xD8\xFF", "a picture"),
        (b"{\\rtf", "a word processor's file"),
    ] {
        if bytes.starts_with(start) {
            return Err(format!(
                "this is {what}; save the list in it as CSV, or copy it into a text file"
            ));
        }
    }
    let (text, encoding) = decoded(bytes);
    if text.contains('\0') {
        return Err("this is no text; save the list as CSV, or copy it into a text file".to_owned());
    }
    Ok((text, encoding))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_encodings_are_told_apart() {
        let utf16 = |text: &str, big: bool| -> Vec<u8> {
            text.encode_utf16()
                .flat_map(|unit| if big { unit.to_be_bytes() } else { unit.to_le_bytes() })
                .collect()
        };
        let text = "Größe;24×3";
        assert_eq!(decode(text.as_bytes()), Ok((text.to_owned(), "UTF-8")));
        assert_eq!(decode(format!("\u{feff}{text}").as_bytes()), Ok((text.to_owned(), "UTF-8")));
        assert_eq!(
            decode(&utf16(&format!("\u{feff}{text}"), false)),
            Ok((text.to_owned(), "UTF-16LE"))
        );
        assert_eq!(
            decode(&utf16(&format!("\u{feff}{text}"), true)),
            Ok((text.to_owned(), "UTF-16BE"))
        );
        assert_eq!(decode(&utf16(text, false)), Ok((text.to_owned(), "UTF-16LE")));
        assert_eq!(decode(b"Gr\xF6\xDFe;24\xD73"), Ok((text.to_owned(), "windows-1252")));
        assert_eq!(decode(b""), Ok((String::new(), "UTF-8")));
    }

    #[test]
    fn what_is_no_text_is_refused() {
        assert!(decode(b"PK\x03\x04....").is_err());
        assert!(decode(b"%PDF-1.4").is_err());
        assert!(decode(b"abc\0\0\0\0defghijk").is_err());
    }
}
