"""Kernels on plain numbers and arrays, one module a phenomenon; nothing here knows a record or a file."""

from laydown.kernel_cache import keep_compiled_kernels, let_waiting_threads_sleep

keep_compiled_kernels()
let_waiting_threads_sleep()
