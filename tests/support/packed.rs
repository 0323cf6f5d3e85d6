//! Packages of parts that are stored as they are, which is what a workbook is inside.

/// A package of these parts (the ZIP format, APPNOTE 4.3, from memory).
pub fn packed(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let (mut bytes, mut list) = (Vec::new(), Vec::new());
    for (name, part) in parts {
        let mut about = Vec::new();
        // Version, flags, stored, time and date.
        for number in [20_u16, 0, 0, 0, 0x21] {
            about.extend(number.to_le_bytes());
        }
        let size = part.len() as u32;
        for number in [crc(part), size, size] {
            about.extend(number.to_le_bytes());
        }
        about.extend((name.len() as u16).to_le_bytes());
        about.extend([0, 0]);
        list.extend(b"PK\x01\x02\x14\x00");
        list.extend(&about);
        list.extend([0; 10]);
        list.extend((bytes.len() as u32).to_le_bytes());
        list.extend(name.as_bytes());
        bytes.extend(b"PK\x03\x04");
        bytes.extend(&about);
        bytes.extend(name.as_bytes());
        bytes.extend(*part);
    }
    let (count, start) = (parts.len() as u16, bytes.len() as u32);
    bytes.extend(&list);
    bytes.extend(b"PK\x05\x06\0\0\0\0");
    bytes.extend(count.to_le_bytes());
    bytes.extend(count.to_le_bytes());
    bytes.extend((list.len() as u32).to_le_bytes());
    bytes.extend(start.to_le_bytes());
    bytes.extend([0, 0]);
    bytes
}

fn crc(bytes: &[u8]) -> u32 {
    let turned = |mut crc: u32, byte: &u8| {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0xedb8_8320 & (crc & 1).wrapping_neg());
        }
        crc
    };
    !bytes.iter().fold(u32::MAX, turned)
}
