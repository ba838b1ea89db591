//! Undo and redo.

/// States kept at most: older ones are forgotten, so that memory stays bounded.
const MOST_KEPT: usize = 200;

/// A value with its past and, after an undo, its future. Changes made in one go
/// (a slider dragged) are one step.
#[derive(Debug, Clone)]
pub struct History<T> {
    now: T,
    past: Vec<T>,
    future: Vec<T>,
    in_one_go: bool,
}

impl<T: Clone + PartialEq> History<T> {
    /// Starts from a value.
    pub fn new(now: T) -> Self {
        Self {
            now,
            past: Vec::new(),
            future: Vec::new(),
            in_one_go: false,
        }
    }

    /// The value as it is.
    pub fn now(&self) -> &T {
        &self.now
    }

    /// Changes the value; says whether it became another. Until
    /// [`Self::let_go`], further changes belong to the same step.
    pub fn change(&mut self, next: T) -> bool {
        if next == self.now {
            return false;
        }
        let before = std::mem::replace(&mut self.now, next);
        if !self.in_one_go {
            if self.past.len() == MOST_KEPT {
                self.past.remove(0);
            }
            self.past.push(before);
            self.in_one_go = true;
        }
        self.future.clear();
        true
    }

    /// Ends a step.
    pub fn let_go(&mut self) {
        self.in_one_go = false;
    }

    /// Goes back a step; says whether there was one.
    pub fn undo(&mut self) -> bool {
        self.let_go();
        let Some(before) = self.past.pop() else {
            return false;
        };
        self.future.push(std::mem::replace(&mut self.now, before));
        true
    }

    /// Goes forward a step again; says whether there was one.
    pub fn redo(&mut self) -> bool {
        self.let_go();
        let Some(after) = self.future.pop() else {
            return false;
        };
        self.past.push(std::mem::replace(&mut self.now, after));
        true
    }

    /// As it was before the last step.
    pub fn last(&self) -> Option<&T> {
        self.past.last()
    }

    /// As it was after the step taken back last.
    pub fn next(&self) -> Option<&T> {
        self.future.last()
    }

    /// Steps that can be undone.
    pub fn undoable(&self) -> usize {
        self.past.len()
    }

    /// Steps that can be done again.
    pub fn redoable(&self) -> usize {
        self.future.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drag_is_one_step_and_a_new_change_forgets_the_future() {
        let mut history = History::new(0);
        for value in 1..=5 {
            assert!(history.change(value));
        }
        history.let_go();
        assert!(!history.change(5));
        assert!(history.change(9));
        assert!(history.undo());
        assert_eq!((*history.now(), history.undoable()), (5, 1));
        assert!(history.undo() && !history.undo());
        assert_eq!(*history.now(), 0);
        assert!(history.redo());
        assert_eq!(*history.now(), 5);
        assert!(history.change(7));
        assert!(!history.redo());
        assert!(history.undo());
        assert_eq!(*history.now(), 5);
    }

    #[test]
    fn the_past_is_bounded() {
        let mut history = History::new(0);
        for value in 1..1000 {
            history.change(value);
            history.let_go();
        }
        assert_eq!(history.undoable(), MOST_KEPT);
        for _ in 0..MOST_KEPT {
            assert!(history.undo());
        }
        assert_eq!(*history.now(), 999 - 200);
    }
}
