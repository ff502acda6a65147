//! A page of records: all that falls under the same leading bits of the hashes of their keys.
//!
//! A lookup reads one page. What is appended stands behind what was there; nothing is taken out, as a record whose
//! piece of table is gone is passed over by the reader.

use super::records::Tag;
use xxhash_rust::xxh3::xxh3_64_with_seed;

/// Tells in which page a key's records stand.
pub(super) fn number(hash: u64, bits: u8) -> u32 {
    // At most 24 bits are in use, so nothing is cut off.
    if bits == 0 { 0 } else { (hash >> (64 - u32::from(bits))) as u32 }
}

/// Adds a record to a page in the making.
pub(super) fn push(page: &mut Vec<u8>, hash: u64, tag: Tag, record: &[u8]) {
    page.extend_from_slice(&hash.to_le_bytes());
    page.push(tag.0);
    let mut length = record.len();
    while length >= 0x80 {
        page.push((length & 0x7f) as u8 | 0x80);
        length >>= 7;
    }
    page.push(length as u8);
    page.extend_from_slice(record);
}

/// Closes the page of this number with a sum of its bytes. To make pages smaller took an eighth of a whole compile.
pub(super) fn seal(number: u32, page: &mut Vec<u8>) {
    let sum = xxh3_64_with_seed(page, number.into());
    page.extend_from_slice(&sum.to_le_bytes());
}

/// Gives the records of the sealed page of this number; `None` where its sum is wrong, or it is another page.
pub(super) fn unseal(number: u32, sealed: &[u8]) -> Option<&[u8]> {
    let (body, sum) = sealed.split_last_chunk::<8>()?;
    (xxh3_64_with_seed(body, number.into()) == u64::from_le_bytes(*sum)).then_some(body)
}

/// Walks over the records of an unsealed page: hash, tag and bytes.
pub(super) struct Records<'p>(pub &'p [u8]);

impl<'p> Iterator for Records<'p> {
    type Item = (u64, u8, &'p [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let (hash, rest) = self.0.split_first_chunk::<8>()?;
        let (tag, mut rest) = rest.split_first()?;
        let (mut length, mut shift) = (0usize, 0u32);
        loop {
            let (byte, more) = rest.split_first()?;
            rest = more;
            length |= usize::from(byte & 0x7f).checked_shl(shift)?;
            shift += 7;
            if byte & 0x80 == 0 {
                break;
            }
        }
        let (record, rest) = rest.split_at_checked(length)?;
        self.0 = rest;
        Some((u64::from_le_bytes(*hash), *tag, record))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_pushed_is_walked_over_and_a_flipped_byte_is_noticed() {
        let mut page = Vec::new();
        let long = vec![7; 300];
        push(&mut page, 1, Tag(9), b"a");
        push(&mut page, u64::MAX, Tag(4), &long);
        seal(3, &mut page);
        let body = unseal(3, &page).expect("sound");
        assert!(unseal(4, &page).is_none());
        let seen: Vec<_> = Records(body).collect();
        assert_eq!(seen, [(1, 9, &b"a"[..]), (u64::MAX, 4, &long[..])]);
        for at in 0..page.len() {
            let mut flipped = page.clone();
            flipped[at] ^= 4;
            assert!(unseal(3, &flipped).is_none(), "byte {at}");
        }
        assert!(unseal(0, b"short").is_none());
    }

    #[test]
    fn the_leading_bits_of_a_hash_number_its_page() {
        assert_eq!(number(u64::MAX, 0), 0);
        assert_eq!(number(u64::MAX, 3), 7);
        assert_eq!(number(1 << 61, 3), 1);
    }
}
