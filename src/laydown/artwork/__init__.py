"""Art files to plates: pictures, separations, halftones, films and previews."""
