//! The load of a posture on the trainer's own body, and its sum over the day.
