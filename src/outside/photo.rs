//! Photos as people send them, made into pictures that carry nothing else: decoded, turned upright, made smaller and written anew,
//! so that no place, no time, no camera and no hidden thumbnail stays. Bounded in pixels before anything is decoded.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};

/// The media type of what comes out.
pub const MEDIA: &str = "image/jpeg";
/// The longest side that is kept, in pixels: enough to see a scratch on a helmet.
const LONGEST: u32 = 2048;
/// The most pixels that are decoded: more than any telephone makes.
const MOST_PIXELS: u64 = 120_000_000;
/// How much detail is kept, of 100.
const QUALITY: u8 = 85;

/// Why a file is no photo that can be kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PhotoFault {
    /// Neither JPEG nor PNG nor WebP.
    #[error("the file is no JPEG, PNG or WebP picture")]
    NotAPhoto,
    /// More pixels than are decoded.
    #[error("the picture has too many pixels")]
    TooManyPixels,
    /// It begins like a picture and cannot be read to its end.
    #[error("the picture is damaged")]
    Damaged,
}

/// The picture of a file as a JPEG of at most 2048 pixels a side, upright, with nothing but its pixels.
///
/// # Errors
/// [`PhotoFault`].
pub fn cleaned(bytes: &[u8]) -> Result<Vec<u8>, PhotoFault> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|_| PhotoFault::NotAPhoto)?;
    if !matches!(reader.format(), Some(ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP)) {
        return Err(PhotoFault::NotAPhoto);
    }
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_PIXELS * 4);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|_| PhotoFault::Damaged)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(PhotoFault::TooManyPixels);
    }
    let turned = decoder.orientation().map_err(|_| PhotoFault::Damaged)?;
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|_| PhotoFault::Damaged)?;
    picture.apply_orientation(turned);
    if picture.width().max(picture.height()) > LONGEST {
        picture = picture.resize(LONGEST, LONGEST, FilterType::Triangle);
    }
    let mut out = Vec::new();
    let pixels = picture.to_rgb8();
    pixels.write_with_encoder(JpegEncoder::new_with_quality(&mut out, QUALITY)).map_err(|_| PhotoFault::Damaged)?;
    Ok(out)
}

#[cfg(test)]
mod tests {
    use image::{Rgb, RgbImage};

    use super::*;

    /// A picture of two colours, red above and blue below.
    fn picture(width: u32, height: u32) -> RgbImage {
        RgbImage::from_fn(width, height, |_, y| if y < height / 2 { Rgb([200, 0, 0]) } else { Rgb([0, 0, 200]) })
    }

    fn jpeg(picture: &RgbImage) -> Vec<u8> {
        let mut out = Vec::new();
        picture.write_with_encoder(JpegEncoder::new_with_quality(&mut out, 90)).expect("a picture");
        out
    }

    /// An Exif segment (CIPA DC-008, JPEG APP1): one entry that says how the picture lies, and words that tell a place.
    fn with_exif(jpeg: &[u8], orientation: u8) -> Vec<u8> {
        let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
        exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
        exif.extend(b"Hollow Creek Lane 12");
        let length = u16::try_from(exif.len() + 2).expect("short").to_be_bytes();
        [&jpeg[..2], &[0xff, 0xe1], &length, &exif, &jpeg[2..]].concat()
    }

    fn pixel(bytes: &[u8], x: u32, y: u32) -> [u8; 3] {
        image::load_from_memory(bytes).expect("a picture").to_rgb8().get_pixel(x, y).0
    }

    fn is_red([red, _, blue]: [u8; 3]) -> bool {
        red > 120 && blue < 80
    }

    #[test]
    fn day_9_a_photo_keeps_its_pixels_and_loses_where_and_when_it_was_taken() {
        let told = with_exif(&jpeg(&picture(40, 20)), 1);
        assert!(told.windows(6).any(|part| part == b"Hollow"));
        let clean = cleaned(&told).expect("a photo");
        for word in [&b"Hollow"[..], b"Exif", b"http"] {
            assert!(!clean.windows(word.len()).any(|part| part == word), "{}", String::from_utf8_lossy(word));
        }
        assert!(is_red(pixel(&clean, 20, 2)) && !is_red(pixel(&clean, 20, 17)));
    }

    /// Orientation 6 (CIPA DC-008): the picture lies on its side and is turned a quarter to the right to be seen.
    #[test]
    fn day_9_a_photo_that_lies_on_its_side_stands_upright() {
        let clean = cleaned(&with_exif(&jpeg(&picture(40, 20)), 6)).expect("a photo");
        let upright = image::load_from_memory(&clean).expect("a picture");
        assert_eq!((upright.width(), upright.height()), (20, 40));
        // What was above is at the right now.
        assert!(is_red(pixel(&clean, 17, 20)) && !is_red(pixel(&clean, 2, 20)));
    }

    #[test]
    fn day_9_pictures_of_each_kind_are_taken_and_made_smaller_and_other_files_are_refused() {
        let big = picture(2600, 1300);
        for format in [ImageFormat::Png, ImageFormat::WebP, ImageFormat::Jpeg] {
            let mut file = Cursor::new(Vec::new());
            big.write_to(&mut file, format).expect("a picture");
            let clean = cleaned(file.get_ref()).expect("a photo");
            let small = image::load_from_memory(&clean).expect("a picture");
            assert_eq!((small.width(), small.height()), (2048, 1024), "{format:?}");
        }
        let jpeg = jpeg(&picture(40, 20));
        for (bytes, fault) in [
            (&b""[..], PhotoFault::NotAPhoto),
            (b"%PDF-1.7", PhotoFault::NotAPhoto),
            (b"<svg xmlns='http://www.w3.org/2000/svg'/>", PhotoFault::NotAPhoto),
            (b"GIF89a\x01\0\x01\0", PhotoFault::NotAPhoto),
            (&jpeg[..20], PhotoFault::Damaged),
            (b"\x89PNG\r\n\x1a\n", PhotoFault::Damaged),
        ] {
            assert_eq!(cleaned(bytes), Err(fault), "{}", String::from_utf8_lossy(bytes));
        }
    }

    /// A PNG whose head (W3C PNG, IHDR) says 40,000 by 40,000 pixels is refused before a pixel of it is read.
    #[test]
    fn day_9_a_picture_that_unpacks_to_too_much_is_refused_by_its_head() {
        let mut head = b"IHDR".to_vec();
        head.extend(40_000_u32.to_be_bytes());
        head.extend(40_000_u32.to_be_bytes());
        head.extend([8, 2, 0, 0, 0]);
        let sum = head.iter().fold(!0_u32, |sum, byte| {
            (0..8).fold(sum ^ u32::from(*byte), |sum, _| if sum & 1 == 1 { sum >> 1 ^ 0xedb8_8320 } else { sum >> 1 })
        });
        let bomb = [&b"\x89PNG\r\n\x1a\n\0\0\0\x0d"[..], &head, &(!sum).to_be_bytes(), b"\0\0\0\0IDAT\x35\xaf\x06\x1e"];
        assert_eq!(cleaned(&bomb.concat()), Err(PhotoFault::TooManyPixels));
    }
}
