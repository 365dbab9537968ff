//! Parts that recur in many pictures, kept as they were painted.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex};

use kurbo::Affine;

use super::Group;

/// Parts kept: a slipper's three views, for four workers on a slipper each. More, and memory is
/// taken for nothing.
const MOST: usize = 12;

/// Parts of pictures as they were painted, to be laid down again where the same part is painted in
/// the same place over the same pixels.
#[derive(Debug, Default)]
pub struct Painted(Mutex<VecDeque<Part>>);

#[derive(Debug)]
struct Part {
    group: Group,
    to_px: Affine,
    /// The pixels of its window before it was painted, and after.
    before: Vec<u8>,
    after: Arc<[u8]>,
}

impl Painted {
    /// The pixels of a group's window as it was painted over `before`; `None` where it was not.
    pub(super) fn find(&self, group: &Group, to_px: Affine, before: &[u8]) -> Option<Arc<[u8]>> {
        let parts = self.0.lock().ok()?;
        parts
            .iter()
            .find(|part| part.to_px == to_px && part.before == before && part.group == *group)
            .map(|part| Arc::clone(&part.after))
    }

    /// Keeps what was painted, and lets the oldest go where there are many.
    pub(super) fn keep(&self, group: &Group, to_px: Affine, before: Vec<u8>, after: Vec<u8>) {
        let Ok(mut parts) = self.0.lock() else { return };
        parts.truncate(MOST - 1);
        parts.push_front(Part {
            group: group.clone(),
            to_px,
            before,
            after: after.into(),
        });
    }

    /// How many parts are kept, for checks.
    #[cfg(test)]
    pub(super) fn parts(&self) -> usize {
        self.0.lock().map_or(0, |parts| parts.len())
    }
}
