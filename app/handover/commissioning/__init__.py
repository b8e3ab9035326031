"""The commissioning sheet: what is to be measured and tried aboard, made from the drawing, part by part."""
