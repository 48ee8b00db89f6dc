// A plate that carries a board of the size of a Raspberry Pi 4 B or 5, or hangs behind a screen with
// holes 75 mm apart; with a seat for a 1/4-inch thread and an eye for a second, independent safety.
// Lengths in millimetres. Printed as it lies here: nothing overhangs. See hardware/README.md.

// The plate: enough for the board's 85 x 56 mm and the 75 x 75 mm holes.
plate = [104, 92, 5];
corner = 6;

// Board: holes 58 x 49 mm apart for M2.5 (Raspberry Pi 4 B mechanical drawing). The holes of the
// standoffs are for screws that cut their thread: 2.1 mm, the core of M2.5 (ISO 724: 2.013 mm)
// with a tenth for the print (common practice, no source).
board = [58, 49];
standoff = [7, 12];      // across, and height above the plate: clear of the seat and of the leads
standoff_hole = 2.1;

// Screen: 75 x 75 mm, M4 (the mounting standard of flat displays, size D 75; from memory).
screen = 75;
screen_hole = 4.5;       // ISO 273, medium: 4.5 mm for M4

// Seat: a headed brass insert of 1/4-20 UNC, pressed in warm from the inside, so that the screw
// draws its head onto the plastic. ISO 1222 is the standard of the connection. Hole 8.0 mm, length
// 12.7 mm, wall around it 3.6 mm at least (a maker's table for inserts of 1/4-20).
seat_hole = 8.0;
seat = [20, 12.7];       // across, and depth with the plate: wall 6.0 mm

// Eye: a hole with 7 mm of plate around it.
eye_hole = 10;
eye = 24;

// Slots let the air under the board: how far from the middle, length, width.
slot = [19, 30, 4];

$fn = 32;

module outline() {
    hull() for (x = [-1, 1], y = [-1, 1])
        translate([x * (plate[0] / 2 - corner), y * (plate[1] / 2 - corner)]) circle(corner);
    hull() {
        translate([plate[0] / 2 + 6, 0]) circle(d = eye);
        translate([plate[0] / 2 - 14, 0]) square([1, eye + 22], center = true);
    }
}

module at_board() for (x = [-1, 1], y = [-1, 1])
    translate([x * board[0] / 2, y * board[1] / 2]) children();

module at_screen() for (x = [-1, 1], y = [-1, 1])
    translate([x * screen / 2, y * screen / 2]) children();

module slots() for (x = [-1, 1]) hull() for (y = [-1, 1])
    translate([x * slot[0], y * (slot[1] - slot[2]) / 2]) circle(d = slot[2]);

difference() {
    union() {
        linear_extrude(plate[2]) outline();
        linear_extrude(seat[1]) circle(d = seat[0]);
        at_board() linear_extrude(plate[2] + standoff[1]) circle(d = standoff[0]);
    }
    translate([0, 0, -1]) linear_extrude(40) {
        circle(d = seat_hole);
        translate([plate[0] / 2 + 6, 0]) circle(d = eye_hole);
        at_screen() circle(d = screen_hole);
        slots();
    }
    translate([0, 0, plate[2]]) linear_extrude(40) at_board() circle(d = standoff_hole);
}
