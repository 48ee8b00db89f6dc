#!/bin/bash
# Send a raw frame, again and again, from the capture board's HDMI output to its input.
# play.sh FILE FOURCC TIMINGS-INDEX COLUMNS ROWS COLOUR-FIELDS
set -eu
pkill -x v4l2-ctl 2>/dev/null && while pgrep -x v4l2-ctl > /dev/null; do sleep 0.1; done
file=$1 fourcc=$2 timings=$3 columns=$4 rows=$5 colour=$6
out=/dev/video11 in=/dev/video10
v4l2-ctl -d $out --set-dv-bt-timings "index=$timings" > /dev/null
v4l2-ctl -d $out --set-fmt-video-out "width=$columns,height=$rows,pixelformat=$fourcc,field=none,$colour"
v4l2-ctl -d $in -c osd_text_mode=2
v4l2-ctl -d $in -c hdmi_000_0_is_connected_to=2
setsid -f v4l2-ctl -d $out --stream-out-mmap=4 --stream-from="$file" --stream-loop \
    > /run/play.log 2>&1 < /dev/null
# Until its first picture is out, the input shows noise.
for _ in $(seq 200); do
    grep -q '>' /run/play.log && exit 0
    sleep 0.05
done
echo "the output did not start: $(cat /run/play.log)" >&2
exit 1
