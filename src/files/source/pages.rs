//! Text of one byte a letter: the code pages of older loggers and spreadsheets.

/// The text of bytes that are no UTF-8: Windows-1252, or where words tell it Windows-1250.
pub(super) fn text(bytes: &[u8]) -> String {
    let of = match is_windows_1250(bytes) {
        true => windows_1250,
        false => windows_1252,
    };
    bytes.iter().map(|&byte| of(byte)).collect()
}

/// Whether letters of Windows-1250 stand within words that are raised figures in Windows-1252: `koła`, not `ko³a`.
fn is_windows_1250(bytes: &[u8]) -> bool {
    let within = |three: &[u8]| {
        let letters = three[0].is_ascii_alphabetic() && three[2].is_ascii_alphabetic();
        letters && matches!(three[1], 0xb3 | 0xb9 | 0xbf)
    };
    bytes.windows(3).any(within)
}

/// Windows-1250 from 0xa0 on.
const UPPER_1250: &str = "\u{a0}ˇ˘Ł¤Ą¦§¨©Ş«¬\u{ad}®Ż°±˛ł´µ¶·¸ąş»Ľ˝ľż\
     ŔÁÂĂÄĹĆÇČÉĘËĚÍÎĎĐŃŇÓÔŐÖ×ŘŮÚŰÜÝŢß\
     ŕáâăäĺćçčéęëěíîďđńňóôőö÷řůúűüýţ˙";

/// A character of Windows-1250; below its upper half those it does not share with Windows-1252 are letters.
fn windows_1250(byte: u8) -> char {
    match byte {
        0x8a => 'Š',
        0x8c => 'Ś',
        0x8d => 'Ť',
        0x8e => 'Ž',
        0x8f => 'Ź',
        0x9a => 'š',
        0x9c => 'ś',
        0x9d => 'ť',
        0x9e => 'ž',
        0x9f => 'ź',
        0xa0.. => UPPER_1250
            .chars()
            .nth(usize::from(byte - 0xa0))
            .unwrap_or('\u{fffd}'),
        other => windows_1252(other),
    }
}

/// A character of Windows-1252; of those it has beyond Latin-1 the ones that tables use.
fn windows_1252(byte: u8) -> char {
    match byte {
        0x80 => '€',
        0x82 | 0x91 | 0x92 => '\'',
        0x84 | 0x93 | 0x94 => '"',
        0x85 => '…',
        0x95 => '•',
        0x96 | 0x97 => '–',
        0x99 => '™',
        0x81..=0x9f => '\u{fffd}',
        latin => char::from(latin),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Czech, Hungarian, Romanian and Croatian words as the page writes them, and signs beside them.
    #[test]
    fn the_upper_half_of_windows_1250_is_whole() {
        assert_eq!(UPPER_1250.chars().count(), 96);
        for (bytes, letters) in [
            (&b"p\xf8evod"[..], "převod"),
            (b"ot\xe1\xe8ky", "otáčky"),
            (b"sebess\xe9g \xd5\xdb", "sebesség ŐŰ"),
            (b"tura\xfeie \xc3\xe3", "turaţie Ăă"),
            (b"to\xe8ak \xd0\xf0", "točak Đđ"),
            (b"\xb0 \xb5 \xd7 \xdf \xfd \xff", "° µ × ß ý ˙"),
        ] {
            let read: String = bytes.iter().map(|&byte| windows_1250(byte)).collect();
            assert_eq!(read, letters);
        }
    }
}
