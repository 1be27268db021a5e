"""Hook specifications, descriptors, discovery, options: the door through which every format,
check, alteration and report comes in, ours and a stranger's alike."""
