//! Cloning into what is there already.
//!
//! A step is made on a copy of state and outputs. A derived `Clone` would build every list anew at each; the lists hardly
//! change their length, so that a copy field by field allocates nothing.

/// `Clone` for a struct with all its fields named, whose `clone_from` takes field by field. A field that is left out does
/// not compile.
macro_rules! clone_in_place {
    ($name:ty { $($field:ident),* $(,)? }) => {
        impl Clone for $name {
            fn clone(&self) -> Self {
                Self { $($field: self.$field.clone()),* }
            }

            fn clone_from(&mut self, source: &Self) {
                $(self.$field.clone_from(&source.$field);)*
            }
        }
    };
}

pub(crate) use clone_in_place;
