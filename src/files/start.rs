//! The two files a maker begins with: commented, and ready to be planned as they are.

/// A slipper: measure your own and change the figures.
pub const SLIPPER: &str = include_str!("templates/slipper.toml");

/// A face: a starting point for shapes of your own.
pub const FACE: &str = include_str!("templates/face.toml");

/// File names and texts.
#[must_use]
pub fn files() -> [(&'static str, &'static str); 2] {
    [("slipper.toml", SLIPPER), ("face.toml", FACE)]
}

#[cfg(test)]
mod tests {
    use super::super::{parse_face, parse_slipper};
    use super::*;

    #[test]
    fn both_can_be_read_as_they_are() {
        assert!(parse_slipper("slipper.toml", SLIPPER).is_ok());
        assert!(parse_face("face.toml", FACE).is_ok());
    }
}
