# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""What is taken of the libraries: Debian's source package, the files that are needed, and what they
are compiled with. Paths are inside the unpacked source; a pattern stands for all that match."""

GSL_FILES = '''blas/blas.c block/init.c block/block.c cdf/gauss.c cdf/gaussinv.c cdf/chisq.c cdf/chisqinv.c
 cdf/gamma.c cdf/gammainv.c cdf/tdist.c cdf/tdistinv.c cdf/beta.c cdf/betainv.c cdf/exponential.c
 cblas/d*.c cblas/i*.c cblas/xerbla.c
 complex/inline.c complex/math.c eigen/symmv.c eigen/sort.c err/error.c err/stream.c err/message.c err/strerror.c
 interpolation/*.c linalg/cholesky.c linalg/symmtd.c linalg/householder.c linalg/inline.c linalg/tridiag.c
 linalg/condest.c linalg/invtri.c linalg/qr.c linalg/svd.c linalg/bidiag.c linalg/trimult.c linalg/multiply.c
 matrix/init.c matrix/matrix.c matrix/rowcol.c matrix/swap.c matrix/copy.c matrix/minmax.c matrix/oper.c
 matrix/getset.c matrix/view.c matrix/submatrix.c matrix/prop.c
 vector/init.c vector/vector.c vector/copy.c vector/swap.c vector/prop.c vector/minmax.c vector/oper.c
 vector/subvector.c vector/view.c min/fsolver.c min/brent.c min/golden.c min/bracketing.c min/convergence.c
 min/quad_golden.c multimin/fminimizer.c multimin/simplex2.c multimin/convergence.c poly/eval.c
 roots/brent.c roots/convergence.c roots/fsolver.c roots/bisection.c sort/sort.c sort/sortvec.c sort/sortind.c
 specfunc/*.c statistics/*.c sys/*.c permutation/*.c randist/gamma.c randist/gauss.c randist/chisq.c
 randist/tdist.c randist/beta.c utils/placeholder.c'''

CHOLMOD_FILES = '''CHOLMOD/Core/cholmod_*.c CHOLMOD/Cholesky/cholmod_*.c CHOLMOD/MatrixOps/cholmod_*.c
 AMD/Source/amd_*.c COLAMD/Source/colamd.c SuiteSparse_config/SuiteSparse_config.c'''

GD_FILES = '''src/gd.c src/gd_color.c src/gd_color_map.c src/gd_filename.c src/gd_interpolation.c src/gd_io.c
 src/gd_io_dp.c src/gd_io_file.c src/gd_io_ss.c src/gd_jpeg.c src/gd_matrix.c src/gd_png.c src/gd_security.c
 src/gd_ss.c src/gd_topal.c src/gd_transform.c src/gd_rotate.c src/gdfontg.c src/gdfonts.c src/gdfontt.c
 src/gdhelpers.c src/gdtables.c'''

JPEG_FILES = '''jcapimin.c jcapistd.c jccoefct.c jccolor.c jcdctmgr.c jchuff.c jcicc.c jcinit.c jcmainct.c
 jcmarker.c jcmaster.c jcomapi.c jcparam.c jcphuff.c jcprepct.c jcsample.c jdapimin.c jdapistd.c jdatadst.c
 jdatasrc.c jdcoefct.c jdcolor.c jddctmgr.c jdhuff.c jdicc.c jdinput.c jdmainct.c jdmarker.c jdmaster.c
 jdmerge.c jdphuff.c jdpostct.c jdsample.c jerror.c jfdctflt.c jfdctfst.c jfdctint.c jidctflt.c jidctfst.c
 jidctint.c jidctred.c jmemmgr.c jmemnobs.c jquant1.c jquant2.c jsimd_none.c jutils.c jaricom.c jcarith.c
 jdarith.c'''

PNG_FILES = '''png.c pngerror.c pngget.c pngmem.c pngpread.c pngread.c pngrio.c pngrtran.c pngrutil.c pngset.c
 pngtrans.c pngwio.c pngwrite.c pngwtran.c pngwutil.c'''

FREETYPE_FILES = '''src/base/ftbase.c src/base/ftbitmap.c src/base/ftdebug.c src/base/ftglyph.c src/base/ftinit.c
 src/base/ftsystem.c src/base/ftmm.c src/autofit/autofit.c src/truetype/truetype.c src/sfnt/sfnt.c
 src/smooth/smooth.c src/psnames/psnames.c'''

# name: (source package, files, flags, folders of headers; those that begin with = are of src/web/config)
LIBRARIES = {
    'gsl': ('gsl', GSL_FILES, '-DHAVE_CONFIG_H', '=gsl . headers'),
    'cholmod': ('suitesparse', CHOLMOD_FILES, '-DNSUPERNODAL -DNPARTITION -DNCAMD -DNMODIFY -DNTIMER -DNPRINT',
                'headers headers/suitesparse'),
    'gd': ('libgd2', GD_FILES, '-DHAVE_CONFIG_H', '=gd =zlib src +zlib +libpng1.6 =jpeg +libjpeg-turbo'),
    'jpeg': ('libjpeg-turbo', JPEG_FILES, '', '=jpeg .'),
    'png': ('libpng1.6', PNG_FILES, '-DPNG_INTEL_SSE_OPT=0', '=png . +zlib'),
    'zlib': ('zlib', '*.c', '-DHAVE_UNISTD_H', '.'),
    'minizip': ('minizip', 'zip.c unzip.c ioapi.c', '-DNOCRYPT -DNOUNCRYPT -DUSE_FILE32API', '. +zlib'),
    'freetype': ('freetype', FREETYPE_FILES, "-DFT2_BUILD_LIBRARY '-DFT_CONFIG_MODULES_H=<spotfield_modules.h>' "
                 "'-DFT_CONFIG_OPTIONS_H=<spotfield_options.h>'", '=freetype include'),
    'jansson': ('jansson', 'src/*.c', '-DHAVE_CONFIG_H', '=jansson src'),
    'csv': ('libcsv', 'libcsv.c', '', '.'),
    'exif': ('libexif', 'libexif/*.c libexif/apple/*.c libexif/canon/*.c libexif/fuji/*.c libexif/olympus/*.c '
             'libexif/pentax/*.c', '-DHAVE_CONFIG_H', '=exif .'),
}
