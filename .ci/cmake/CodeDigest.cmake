# cmake -DFILES=a,b,c -DTEMPLATE=header.h.in -DOUT=header.h -P CodeDigest.cmake: the template with the SHA-256 of these sources' texts.
# What is kept between runs carries it, so that results of other code are never taken for ours.
string(REPLACE "," ";" FILES "${FILES}")
set(digests "")
foreach(file IN LISTS FILES)
  file(SHA256 ${file} digest)
  get_filename_component(name ${file} NAME)
  string(APPEND digests "${digest} ${name}\n")
endforeach()
string(SHA256 DIGEST "${digests}")
configure_file(${TEMPLATE} ${OUT} @ONLY)
file(TOUCH ${OUT})
