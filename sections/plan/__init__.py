"""What is decided before anything is built: seams, sections, joints, bosses, labels, print poses."""
