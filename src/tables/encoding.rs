//! Texts that are not in UTF-8: which encoding a file is in, told by its own bytes.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// Decodes a text by its byte-order mark, else by what its bytes can be; gives the name of the encoding as well.
///
/// Without a mark it is UTF-16 where every other byte is zero, and UTF-8 where that can be read. What is left is
/// Windows-1252, in which every byte is a letter or a sign.
pub fn decode(bytes: &[u8]) -> (String, &'static str) {
    let encoding = Encoding::for_bom(bytes).map_or_else(|| guess(bytes), |(encoding, _)| encoding);
    let (text, _, _) = encoding.decode(bytes);
    (text.into_owned(), encoding.name())
}

/// Decodes the text of a table that is not in UTF-8; `None` where it is, or where it is to be taken as it comes.
///
/// A text with letters that only UTF-8 writes so, and with a byte that it cannot hold, is UTF-8 with a damaged cell.
pub(crate) fn other_than_utf8(bytes: &[u8]) -> Option<(String, &'static str)> {
    let is_spoilt_utf8 = || bytes.utf8_chunks().any(|chunk| !chunk.valid().is_ascii());
    let (text, name) = match std::str::from_utf8(bytes) {
        Ok(_) if guess(bytes) == UTF_8 => return None,
        _ => decode(bytes),
    };
    let is_text = name != UTF_8.name() && !text.contains('\0');
    (is_text && (name != WINDOWS_1252.name() || !is_spoilt_utf8())).then_some((text, name))
}

fn guess(bytes: &[u8]) -> &'static Encoding {
    let sample = &bytes[..bytes.len().min(4096)];
    let zeros = |odd: usize| sample.iter().skip(odd).step_by(2).filter(|byte| **byte == 0).count();
    let half = sample.len() / 2;
    if half > 1 && zeros(1) * 10 > half * 4 {
        UTF_16LE
    } else if half > 1 && zeros(0) * 10 > half * 4 {
        UTF_16BE
    } else if std::str::from_utf8(bytes).is_ok() {
        UTF_8
    } else {
        WINDOWS_1252
    }
}
