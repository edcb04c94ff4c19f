//! The screens: state, update, view and effects.
