//! Sharing until written to.
use std::ops::{Deref, DerefMut};
use std::sync::Arc;

/// A value that its clones share until one of them is written to, which then has its own.
///
/// A rig keeps its nodes, anchors and dials so: a step of undo costs what it changed and a
/// pointer for each of the rest.
#[derive(Debug, Default)]
pub struct Shared<T>(Arc<T>);

impl<T> Shared<T> {
    /// Whether two are the same one, not only alike.
    pub fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl<T> Clone for Shared<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> From<T> for Shared<T> {
    fn from(value: T) -> Self {
        Self(Arc::new(value))
    }
}

impl<T> Deref for Shared<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.0
    }
}

impl<T: Clone> DerefMut for Shared<T> {
    fn deref_mut(&mut self) -> &mut T {
        Arc::make_mut(&mut self.0)
    }
}

impl<T: PartialEq> PartialEq for Shared<T> {
    /// What is shared is equal without a look: nothing in a rig is unequal to itself.
    fn eq(&self, other: &Self) -> bool {
        self.is_same(other) || *self.0 == *other.0
    }
}
