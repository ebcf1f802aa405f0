"""The invented workshop of the demo: who, which instruments, which pictures."""
