//! The only room that touches files: client files, the trainer's settings and own stretches, and the lock.
